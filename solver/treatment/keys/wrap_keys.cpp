// Keys of what is round the steel: foil, clay, its own skin.
#include "records/read_foil.hpp"
#include "records/read_solid.hpp"
#include "treatment/keys/key.hpp"
#include "treatment/read_records.hpp"
#include "units/quantity.hpp"

#include <algorithm>

namespace tq::treatment::keys {
namespace {

using records::toml_string;

constexpr Range share{0, 1}, gap_range{0, 0.02};

std::string no_foil(const Scope& k) {
  return k.is<Wrap>().layers > 0 ? "" : "belongs to a foil, but foil = \"none\"";
}
constexpr Place on_foil{"foil", no_foil};

std::string read_wrap_foil(Scope& k) {
  std::string name = k.node ? k.node->text("foil", "stainless") : "none";
  Wrap& w = k.is<Wrap>();
  if (name != "none") {
    w.layers = 1;
    const RecordText text = k.record(RecordKind::foil, "foil", name, "foil_override");
    w.foil = read_once(k.all().records, text, "", [&] { return records::read_foil(text.text, text.file); });
  }
  return toml_string(name);
}

const std::vector<std::string> folds = {"hand folded", "pressed"};

std::string fold(const Scope& k) { return k.node->choice("fold", folds, folds[0]); }

double usual_gap(const Scope& k) {
  const records::FoilRecord& foil = k.is<Wrap>().foil;
  return fold(k) == "pressed" ? foil.gap_pressed_m : foil.gap_hand_folded_m;
}

std::string read_gap(Scope& k) {
  const double gap = k.node->quantity("gap", "length", gap_range, usual_gap(k));
  k.is<Wrap>().gap_m.fill(gap);
  return toml_string(units::format_quantity(gap, "length"));
}

std::string assumed_gap(const Scope& k) {
  const Wrap& w = k.is<Wrap>();
  const auto gaps = k.node->optional_table("gaps");
  std::string faces;
  for (const char* face : face_keys)
    if (!gaps || !gaps->has(face))
      faces += (faces.empty() ? "" : ", ") + std::string(face);
  if (faces.empty() || w.fixed_conductance_W_m2K > 0)
    return "";
  const double gap = usual_gap(k);
  return "foil gap " + brief(gap, "length", gap < 1e-4 ? "um" : "mm") + " on " +
         (gaps ? faces : "all faces") + " (" + fold(k) + "), a factor " +
         units::format_number(w.foil.gap_factor) + " either way";
}

std::string assumed_emissivity(const Scope& k) {
  const Wrap& w = k.is<Wrap>();
  return "foil emissivity " + units::format_number(w.emissivity_outside) + " outside, " +
         units::format_number(w.emissivity_inside) + " inside";
}

std::string not_browned(const Scope& k) {
  const std::string why = no_foil(k);
  return !why.empty() || k.is<Wrap>().emissivity_oxidised
             ? why
             : "says how fast emissivity_oxidised is reached, but there is none";
}

std::string assumed_oxidation(const Scope& k) {
  return "the foil oxidises with a time constant of " + time_text(k.is<Wrap>().oxidises_in_s) +
         " (bright to brown in 10 to 20 min at 800 degC, common practice)";
}

bool heated_bare(const Scope& k) { return !k.node && heated(k); }

std::string read_clay(Scope& k) {
  std::string name = k.node->text("material", "clay");
  const RecordText text = k.record(RecordKind::solid, "material", name, {});
  k.is<Coat>().solid = records::read_solid(text.text, text.file);
  return toml_string(name);
}

void check_coat(const Scope& k) {
  const Coat& coat = k.is<Coat>();
  const auto& x = coat.distance_m;
  if (x.size() != coat.thickness_m.size())
    k.fail("thickness", "has " + std::to_string(coat.thickness_m.size()) + " values, distance has " +
                            std::to_string(x.size()) + "; give one of each");
  for (std::size_t n = 1; n < x.size(); ++n)
    if (x[n] <= x[n - 1])
      k.fail("distance", "must ascend from the spine: " + brief(x[n], "length") + " follows " +
                             brief(x[n - 1], "length"));
}

/// Bare steel scales in the furnace.
bool scales(const Scope& k) { return k.c.wrap.layers == 0 && heated(k); }
std::string assumed_skin(const Scope& k) {
  return scales(k) ? "steel scaled in the air, emissivity 0.8 (it was bare in the furnace)"
         : k.given("air_scaled")
             ? "steel bright in the air, emissivity 0.35"
             : "steel bright as it comes into the air, emissivity 0.35, and scaling there";
}
const std::vector<Word> skins = {{"bright", 0.35}, {"scaled", 0.8}};

} // namespace

void check_foil_service(const Scope& k) {
  if (k.c.wrap.layers == 0 || !heated(k))
    return;
  const Furnace& f = k.c.furnace;
  double hottest = f.setpoint_degC;
  for (const auto& step : f.programme)
    hottest = std::max(hottest, step.target_degC);
  if (f.log)
    hottest = *std::max_element(f.log->temperature_degC.begin(), f.log->temperature_degC.end());
  hottest += f.reading_offset_K + f.overshoot_K;
  const double limit = k.c.wrap.foil.service_limit_degC;
  const Scope* root = &k;
  while (&root->outer() != root)
    root = &root->outer();
  if (limit > 0 && hottest > limit)
    root->node->table("wrap").fail("foil", "the furnace reaches " + brief(hottest, "temperature") +
                                               ", above the limit of this foil, " +
                                               brief(limit, "temperature"));
}

const Table& wrap_table() {
  using W = Wrap;
  static const Table table = [] {
    Table t;
    t.remark = "without this table the blade is bare";
    t.key("foil", sample(R"("stainless")"), "a shipped key, the path of your own record, or \"none\"",
          tells(heated_bare, "the blade goes into the furnace bare, without foil"), own(read_wrap_foil));
    t.key("foil_override", aside(), "values of the foil's record, keys as there", on_foil,
          own([](Scope& k) { return k.node->written("foil_override"); }),
          block(R"(# Single values of the foil's record may be replaced; keys as in the record:
#[wrap.foil_override]
#service_limit = "1150 degC"
)"));
    t.key("layers", &W::layers, from(1, 5), usual("1"), "of foil", on_foil);
    t.key("thickness", &W::thickness_m, as("length"), from(5e-6, 1e-3), aside("0.05 mm"),
          "of one layer; default: from the foil's record",
          rule([](const Scope& k) { return k.is<W>().foil.thickness_m; }), on_foil);
    t.key("fold", sample(R"("hand folded")"), "hand folded | pressed: sets the gap, a factor 3 either way",
          on_foil, own([](Scope& k) { return toml_string(fold(k)); }));
    t.key("gap", as("length"), gap_range, aside(R"("0.3 mm")"),
          "of all faces; default: 0.3 mm hand folded, 25 um pressed", on_foil, tells(always, assumed_gap),
          doubt("foil_gap"), own(read_gap));
    t.key("gap_conductance", &W::fixed_conductance_W_m2K, as("heat_transfer_coefficient"), above(0, 1e6),
          usual("0 W/(m2 K)"), quiet("200 W/(m2 K)"),
          "plain number instead of air and contact in the gap (radiation stays)", on_foil);
    t.key("contact_fraction", &W::contact_fraction, share, aside("0.02"),
          "share of the area in real contact; default: from the foil's record",
          rule([](const Scope& k) { return k.is<W>().foil.contact_fraction; }), on_foil,
          doubt("foil_contact"));
    t.key("contact_conductance", &W::contact_conductance_W_m2K, as("heat_transfer_coefficient"), from(0, 1e5),
          aside("1000 W/(m2 K)"), "there; default: from the foil's record",
          rule([](const Scope& k) { return k.is<W>().foil.contact_conductance_W_m2K; }), on_foil);
    t.key("emissivity_outside", &W::emissivity_outside, share, aside("0.7"),
          "default: from the foil's record",
          rule([](const Scope& k) { return k.is<W>().foil.emissivity_outside; }), on_foil,
          tells(heated, assumed_emissivity), doubt("foil_outside"));
    t.key("emissivity_inside", &W::emissivity_inside, share, aside("0.3"), "default: from the foil's record",
          rule([](const Scope& k) { return k.is<W>().foil.emissivity_inside; }), on_foil,
          doubt("foil_inside"));
    t.key("emissivity_oxidised", &W::emissivity_oxidised, share, aside("0.75"),
          "the outside grows from emissivity_outside to this; default: it does not", on_foil,
          doubt("foil_outside"));
    t.key("oxidises_in", &W::oxidises_in_s, as("time"), from(1, 100 * 3600.0), usual("10 min"), aside(),
          "time constant in the furnace above 500 degC", only("foil emissivity_oxidised", not_browned),
          tells(heated, assumed_oxidation));
    t.key("heat_capacity", &W::heat_capacity_J_m2K, as("areal_heat_capacity"), above(0, 1e5),
          usual("0 J/(m2 K)"), quiet("200 J/(m2 K)"),
          "plain number instead of thickness, density and specific heat; per layer", on_foil);
    t.key("gas", &W::gas, words({"air", "nitrogen", "argon"}), usual("air"),
          "in the packet: air | nitrogen | argon", on_foil);
    t.key("in_oil", &W::on_in_oil, usual("false"), "true: the foil stays on in the bath", on_foil,
          tells(quenched, "the foil comes off before the bath"));
    t.key("gaps", &W::gap_m, as("length"), gap_range,
          aside(R"({ flank_a = "25 um", flank_b = "0.3 mm", spine = "0.5 mm", edge = "1 mm" })"),
          "single faces; default: gap", rule([](const Scope& k) { return k.is<W>().gap_m[0]; }),
          only("foil gap", no_foil), doubt("foil_gap"));
    t.key("contact_patches", &W::contact_patches, share, usual("0"), aside("{ flank_a = 0.1 }"),
          "further share of single faces in contact: seams, pins, a pressed spot", on_foil);
    t.rule("the foil stands the furnace", "foil /furnace /stages", check_foil_service);
    t.stands = heated;
    return t;
  }();
  return table;
}

const Table& coat_table() {
  static constexpr Range thick{0, 0.02};
  static const Table table = [] {
    Table t;
    t.head = "# Clay or paste on the bare blade, from before the furnace to the end of the quench, alike on "
             "both flanks.";
    t.key("material", sample(R"("clay")"), "a shipped key of the solids or the path of your own record",
          own(read_clay));
    t.key("distance", &Coat::distance_m, as("length"), from(0, 1), sample(R"(["0 mm", "14 mm", "18 mm"])"),
          "from the spine ...");
    t.key("thickness", &Coat::thickness_m, as("length"), thick, sample(R"(["1.5 mm", "1.5 mm", "0 mm"])"),
          "... linear between, none outside", doubt("coat_thickness"));
    t.key("spine", &Coat::spine_m, as("length"), thick, usual("0 mm"), aside("1.5 mm"),
          "on the spine face; default 0");
    t.key("edge", &Coat::edge_m, as("length"), thick, usual("0 mm"), "on the edge face");
    t.rule("clay goes on bare steel", "/wrap.foil", [](const Scope& k) {
      if (k.c.wrap.layers > 0)
        k.fail("", "clay goes on bare steel; leave out [wrap] or write wrap.foil = \"none\"");
    });
    t.rule("a thickness at each distance", "distance thickness", check_coat);
    return t;
  }();
  return table;
}

const Table& surface_table() {
  using S = SurfaceState;
  static const Table table = [] {
    Table t;
    t.remark = "emissivity of the steel: bright (0.35) | scaled (0.8) | a number";
    t.key("air", &S::emissivity_air, share, skins, usual("bright"),
          "in air; default bright out of foil, scaled after a bare soak",
          rule([](const Scope& k) { return skins[scales(k) ? 1 : 0].value; }), tells(moved, assumed_skin),
          doubt("steel_emissivity"));
    t.key("air_scaled", &S::emissivity_scaled, share, skins, usual("scaled"), quiet("bright"),
          "to which it grows in the first seconds hot in the air, as scale grows; bright: stays as it is",
          rule([](const Scope&) { return skins[1].value; }), doubt("steel_emissivity"));
    t.key("furnace", &S::emissivity_furnace, share, skins, usual("scaled"), "bare in the furnace",
          tells(scales, "bare steel in the furnace has emissivity 0.8 (scaled)"), doubt("steel_emissivity"));
    t.key("in_foil", &S::emissivity_in_foil, share, skins, usual("0.4"), "facing the foil",
          doubt("steel_emissivity"));
    t.key("paint", worded(&S::painted), words({"none", "anti-scale"}), usual("none"),
          "none | anti-scale: counts where no foil covers the steel");
    return t;
  }();
  return table;
}

} // namespace tq::treatment::keys
