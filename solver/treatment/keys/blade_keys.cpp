// Keys of the blade and its cross-sections, and of the state in which it starts.
#include "records/read_steel.hpp"
#include "records/read_strains.hpp"
#include "steel/bare_steel.hpp"
#include "steel/record_gaps.hpp"
#include "treatment/keys/key.hpp"
#include "treatment/read_records.hpp"
#include "units/quantity.hpp"

namespace tq::treatment::keys {
namespace {

using records::toml_string;

struct Outline {
  std::vector<double> x, y;
};

struct Caliper {
  std::vector<double> distance, thickness;
};

/// A station as the case gives it, before there is an outline.
struct StationForm : section::GrindSpec {
  std::string name;
  std::optional<Outline> outline;
  std::optional<Caliper> caliper;
};

constexpr Range size{0, 1}, real_size{0, 1, true};

/// A shipped file that every case of this kind needs.
RecordText needed(const Scope& k, const char* key, RecordKind kind, const char* file, const char* what) {
  const auto text = k.all().records.shipped(kind, file);
  if (!text)
    k.fail(key, "the shipped " + std::string(what) + " (" + file + ".toml) cannot be read");
  return *text;
}

RecordText shipped_phases(const Scope& k, const char* key) {
  return needed(k, key, RecordKind::phases, "phases", "properties of the constituents");
}

records::Phases phases_of(const RecordText& text) { return records::read_phases(text.text, text.file); }

/// `key`: the one that names the steel, or gives its analysis.
void take_steel(Scope& k, const char* key, const RecordText& steel) {
  const RecordText phases = shipped_phases(k, key);
  k.c.steel = read_once(k.all().records, steel, phases.text,
                        [&] { return records::read_steel(steel.text, steel.file, phases_of(phases)); });
  const RecordText strains = needed(k, key, RecordKind::strains, "strains", "strains of a quench");
  k.c.strains = read_once(k.all().records, strains, "",
                          [&] { return records::read_strains(strains.text, strains.file); });
}

std::string read_steel(Scope& k) {
  if (k.given("analysis") && !k.given("steel"))
    return "";
  if (!k.given("steel"))
    k.fail("steel", "missing; allowed: " + list(k.all().records.keys(RecordKind::steel)) +
                        ", the path of your own record (.toml), or its [blade.analysis]");
  std::string name = k.node->text("steel");
  take_steel(k, "steel", k.record(RecordKind::steel, "steel", name, "steel_override"));
  if (const std::size_t filled = steel::filled_values(k.c.steel); filled > 0 && heated(k))
    k.told.push_back(std::to_string(filled) +
                     " values that the record of the steel does not give, by rules with wide bands "
                     "(thinquench stock --gaps " +
                     name + " lists them)");
  return toml_string(name);
}

const Table& analysis_table() {
  static const Table table = [] {
    Table t;
    for (const steel::AnalysedElement& e : steel::analysed_elements)
      if (e.least_wt > 0)
        t.key(e.symbol, e.share, from(e.least_wt, e.most_wt), sample("0.95"), "needed; wt%, as the others");
      else
        t.key(e.symbol, e.share, from(e.least_wt, e.most_wt), usual("0"), quiet("0.3"), "");
    return t;
  }();
  return table;
}

/// The steel known by its analysis alone: a record of which all but the composition is filled by rules.
std::string read_analysis(Scope& k) {
  if (!k.given("analysis"))
    return "";
  records::Composition wt;
  std::string text = k.read(analysis_table(), k.node->table("analysis"), &wt, "[blade.analysis]", "analysis");
  if (!k.sound("analysis")) {
    k.all().unread.insert(k.path() + ".steel"); // so that nothing else is asked of a steel that is not there
    return "";
  }
  RecordText record{
      "format = 1\ndesignation = " + toml_string("steel by analysis: " + steel::analysis_text(wt)) +
          "\n[composition]\nsource = \"analysis given in the case\"\n",
      "steel by analysis"};
  for (const steel::AnalysedElement& e : steel::analysed_elements)
    if (wt.*e.share > 0)
      record.text += line(e.symbol, units::format_number(wt.*e.share));
  const RecordText model =
      needed(k, "analysis", RecordKind::temper_model, "temper_model", "model of tempering by composition");
  const steel::FilledRecord filled =
      steel::fill_gaps(record.text, record.file, phases_of(shipped_phases(k, "analysis")),
                       steel::read_temper_model(model.text, model.file));
  record.text = filled.text;
  if (k.given("steel_override")) {
    k.node->accept("steel_override");
    record.text = records::overlay(record.text, *k.node, "steel_override");
  }
  take_steel(k, "analysis", record);
  k.told.push_back(
      "all of the steel but its analysis, by rules with wide bands (a record of its own is better)");
  for (const std::string& reason : filled.outside)
    k.told.push_back("the steel: " + reason);
  return text;
}

/// The width and so on say nothing beside points that are given.
std::string already_given(const Scope& k) {
  const char* by = k.given("outline") ? "outline" : k.given("caliper") ? "caliper readings" : nullptr;
  return by ? std::string("the section is given by its ") + by + " already; leave this out" : "";
}
constexpr Place by_grind{nullptr, already_given};

void check_name(const Scope& k) {
  const std::string& name = k.is<StationForm>().name;
  for (const Station& other : k.c.blade.stations)
    if (other.name == name)
      k.fail("name", toml_string(name) + " names two stations; give each its own name");
}

void make_station(const Scope& k) {
  const StationForm& form = k.is<StationForm>();
  const auto alike = [&](const char* table, const char* key, std::size_t a, const char* other, std::size_t b,
                         const char* each) {
    if (a != b)
      k.node->table(table).fail(key, "has " + std::to_string(a) + " values, " + other + " has " +
                                         std::to_string(b) + "; give one of each per " + each);
  };
  Station station{form.name, {}};
  try {
    if (form.outline) {
      alike("outline", "y", form.outline->y.size(), "x", form.outline->x.size(), "point");
      station.profile = section::profile_from_points(form.outline->x, form.outline->y);
    } else if (form.caliper) {
      alike("caliper", "thickness", form.caliper->thickness.size(), "distance", form.caliper->distance.size(),
            "reading");
      station.profile = section::profile_from_calipers(form.caliper->distance, form.caliper->thickness);
    } else {
      if (form.grind == section::Grind::bevel && !k.given("bevel_height"))
        k.fail("bevel_height", "missing; a bevel grind needs its height from the edge up, like \"12 mm\"");
      if (form.edge > form.spine)
        k.fail("edge", "edge " + brief(form.edge, "length") + " is thicker than the spine " +
                           brief(form.spine, "length") + "; swapped? (an outline may have such a shape)");
      station.profile = section::profile_from_grind(form);
    }
  } catch (const section::ProfileError& e) {
    const std::string reason = e.what(), key = reason.substr(0, reason.find(' '));
    k.fail(form.outline                            ? "outline"
           : form.caliper                          ? "caliper"
           : k.node->line(key) != k.node->line("") ? key
                                                   : "",
           reason);
  }
  k.c.blade.stations.push_back(std::move(station));
}

bool no_outline(const Scope& k) { return !k.given("outline"); }

const Table& outline_table() {
  static constexpr Range point{-1, 1};
  static const Table table = [] {
    Table t;
    t.key("unit", aside(), "of bare numbers in the lists");
    t.key("x", &Outline::x, as("length"), point, sample(R"(["0 mm", "30 mm", "30 mm", "0 mm"])"),
          "of the points, from the spine; a closed loop, any start, either sense");
    t.key("y", &Outline::y, as("length"), point, sample(R"(["1.6 mm", "1.5 mm", "-1.5 mm", "-1.6 mm"])"),
          "from the centre plane");
    return t;
  }();
  return table;
}

const Table& caliper_table() {
  static const Table table = [] {
    Table t;
    t.key("unit", aside(R"("mm")"), "of bare numbers in the lists");
    t.key("distance", &Caliper::distance, as("length"), size, sample("[0, 10, 20]"), "from the spine");
    t.key("thickness", &Caliper::thickness, as("length"), real_size, sample("[2.4, 1.6, 0.5]"), "read there");
    return t;
  }();
  return table;
}

const Table& station_table() {
  using F = StationForm;
  static const Table table = [] {
    Table t;
    t.head = "# One or more cross-sections. Distances count from the spine, thicknesses are those before "
             "hardening.";
    t.key("name", may(&F::name), sample("middle of the blade"), "default: station 1, 2 ...");
    t.key("width", in<F>(&F::width), as("length"), real_size, sample("30 mm"),
          "needed, with spine and edge; spine face to edge face", by_grind);
    t.key("spine", in<F>(&F::spine), as("length"), real_size, sample("3.2 mm"), "thickness at the spine",
          by_grind, doubt("spine_thickness"));
    t.key("edge", in<F>(&F::edge), as("length"), real_size, sample("0.6 mm"), "blunt edge, more than 0",
          by_grind, doubt("edge_thickness"));
    t.key("grind", in<F>(&F::grind), words({"flat", "bevel", "hollow", "convex", "one-sided"}), usual("flat"),
          "flat | bevel | hollow | convex | one-sided", by_grind,
          tells(always, [](const Scope& k) { return k.is<F>().name + ": flat grind from spine to edge"; }));
    t.key("bevel_height", in<F>(&F::bevel_height), as("length"), size, usual("0 mm"), quiet("12 mm"),
          "bevel (needed there), hollow, convex, one-sided: from the edge up; 0 = all", by_grind);
    t.key("wheel_radius", in<F>(&F::wheel_radius), as("length"), from(0, 10), usual("0 mm"), quiet("125 mm"),
          "hollow (needed there)", by_grind);
    t.key("convex_bulge", in<F>(&F::convex_bulge), as("length"), size, usual("0 mm"), quiet("0.2 mm"),
          "convex (needed there): bulge of each flank over the straight line", by_grind);
    t.key("false_edge_width", in<F>(&F::false_edge_width), as("length"), size, usual("0 mm"), quiet("8 mm"),
          "0 = none; measured from the spine", by_grind);
    t.key("false_edge_thickness", in<F>(&F::false_edge_thickness), as("length"), size, usual("0 mm"),
          quiet("0.8 mm"), "thickness left at the spine face", by_grind);
    t.key("outline", &F::outline, below(outline_table), block(R"(
# A section may instead be an outline of points (a closed loop, any start, either sense) ...
#[[blade.station]]
#name = "ricasso"
#[blade.station.outline]
#x = ["0 mm", "30 mm", "30 mm", "0 mm"]
#y = ["1.6 mm", "1.5 mm", "-1.5 mm", "-1.6 mm"]
)"));
    t.key("caliper", &F::caliper,
          only(nullptr, no_outline, "a section is given once: by outline or by caliper readings, not both"),
          below(caliper_table), block(R"(
# ... or caliper readings of the thickness at distances from the spine.
#[[blade.station]]
#name = "tip"
#[blade.station.caliper]
#unit = "mm"
#distance = [0, 10, 20]
#thickness = [2.4, 1.6, 0.5]
)"));
    t.rule("each station has a name of its own", "name", check_name);
    t.rule("a section is a section",
           "name width spine edge grind bevel_height wheel_radius convex_bulge false_edge_width "
           "false_edge_thickness outline caliper",
           make_station);
    return t;
  }();
  return table;
}

std::string read_stations(Scope& k) {
  const std::vector<Node> stations = k.node->tables("station");
  if (stations.empty())
    k.fail("station", "missing; give at least one cross-section as [[blade.station]]");
  std::string text;
  for (std::size_t i = 0; i < stations.size(); ++i) {
    const std::string number = std::to_string(i + 1);
    StationForm form;
    form.name = "station " + number;
    text += k.read(station_table(), stations[i], &form, "[[blade.station]]", "station[" + number + "]");
  }
  return text;
}

bool heated_steel(const Scope& k) { return heated(k) && !k.c.steel.inert; }
bool notched(const Scope& k) { return k.is<Blade>().notch_depth_m > 0; }

bool cooling_first(const Scope& k) {
  const Part first = k.c.stages.front();
  return first == Part::transfer || first == Part::bath || first == Part::cool;
}

} // namespace

const Table& blade_table() {
  static const Table table = [] {
    Table t;
    t.key("steel", sample(R"("O1")"),
          "needed, or an analysis: a shipped key, or the path of your own record (\"steels/mine.toml\")",
          doubt("steel_carbon"), own(read_steel));
    t.key("steel_override", aside(), "values of the steel's record, keys as there",
          own([](Scope& k) { return k.node->written("steel_override"); }),
          block(R"(# Single values of the steel's record may be replaced; keys as in the record:
#[blade.steel_override]
#transformation.pearlite_factor = 2
)"));
    t.key("analysis",
          only(
              nullptr, [](const Scope& k) { return !k.given("steel"); },
              "the steel is named already; leave out steel, or the analysis"),
          below(analysis_table), own(read_analysis),
          block(R"(# A steel without a record, by its analysis instead of `steel` (wt%):
#[blade.analysis]
#C = 0.95
#Mn = 0.4
#Si = 0.25
)"));
    t.key("length", &Blade::length_m, as("length"), from(5e-3, 1), sample("110 mm"), "needed");
    t.key("start", &Blade::start_state,
          words({{"spheroidised", 0}, {"annealed", 0}, {"fine pearlite", 1}, {"normalised", 1}}),
          usual("spheroidised"), "spheroidised = annealed | fine pearlite = normalised",
          tells(heated_steel, "steel as bought: spheroidised (annealed bar)"));
    t.key("notch_depth", &Blade::notch_depth_m, as("length"), above(0, 0.1), usual("0 mm"), quiet("5 mm"),
          "deepest inner corner: tang shoulder, notch, plunge, stamp; default: not stated");
    t.key("notch_radius", &Blade::notch_radius_m, as("length"), from(1e-6, 0.5), aside("1.5 mm"),
          "at its root (needed with notch_depth)",
          only("notch_depth", notched, "belongs to a notch, but there is no notch_depth"),
          missing("missing; a notch needs the radius at its root, like \"1.5 mm\""));
    t.key("scratches", may(&Blade::scratches), words({{"lengthwise", 1}, {"across", 2}}), aside("lengthwise"),
          "lengthwise | across: the last grit before hardening; default: not stated");
    t.key("station", below(station_table), own(read_stations));
    return t;
  }();
  return table;
}

const Table& start_table() {
  static const Table table = [] {
    Table t;
    t.key("temperature", &Start::temperature_degC, as("temperature"), from(-200, 1300), usual("20 degC"),
          "of the whole blade; needed when the first stage is not the furnace");
    t.key("austenitised", &Start::austenitised, aside("true"),
          "only when the first stage is transfer, bath or cool (default there: true)",
          rule([](const Scope& k) { return cooling_first(k) && !k.c.steel.inert ? 1.0 : 0.0; }));
    t.rule("a later stage starts at a temperature that is told", "temperature /stages", [](const Scope& k) {
      if (k.c.stages.front() != Part::furnace && !k.given("temperature"))
        k.fail("temperature", "missing; the first stage is " + std::string(part_name(k.c.stages.front())) +
                                  ", so write the blade's temperature at its start: [start] "
                                  "temperature = \"800 degC\"");
    });
    t.rule("only cooling starts with austenite", "austenitised /stages /blade.steel", [](const Scope& k) {
      if (k.is<Start>().austenitised && (!cooling_first(k) || k.c.steel.inert))
        k.fail("austenitised", k.c.steel.inert ? "an inert steel has no austenite"
                                               : "only a case that starts with transfer, bath or cool may "
                                                 "start with austenite");
    });
    return t;
  }();
  return table;
}

} // namespace tq::treatment::keys
