// Keys of a bath and of the plates in place of one.
#include "records/read_coolant.hpp"
#include "records/read_solid.hpp"
#include "treatment/keys/key.hpp"
#include "treatment/read_records.hpp"
#include "units/quantity.hpp"

#include <algorithm>

namespace tq::treatment::keys {
namespace {

using records::CoolantKind;
using records::toml_string;

/// Free water above this share sinks, flashes to steam and throws the oil out (from a gear-trade column: an
/// oil holds about 1000 ppm dissolved).
constexpr double most_water = 1e-3;
constexpr double oil_bath_s = 60, oil_bath_in_foil_s = 180, water_bath_s = 20, air_bath_s = 1200,
                 plates_s = 60;
constexpr double shop_bath_m3 = 8e-3;
constexpr int most_in_a_row = 50;

bool second(const Scope& k) { return k.path() == "second_bath"; }
std::string which(const Scope& k) { return second(k) ? "second bath: " : ""; }
bool on_plates(const Scope& k) { return k.given("plates"); }
/// A constant h alone, without a coolant.
bool plain(const Scope& k) { return k.given("htc") && !k.given("coolant") && !on_plates(k); }
bool air(const Scope& k) {
  return !plain(k) && !on_plates(k) && k.is<Bath>().coolant.kind == CoolantKind::air;
}

std::string no_liquid(const Scope& k) {
  return on_plates(k) ? "belongs to a liquid; with [" + k.path() + ".plates] there is none" : std::string();
}
std::string no_coolant(const Scope& k) {
  return plain(k) ? "belongs to a coolant, but htc stands alone without one" : no_liquid(k);
}
bool wet(const Scope& k) { return !on_plates(k) && !air(k); }
constexpr Place of_liquid{"coolant plates", nullptr, wet, "belongs to a liquid; there is none here"};
bool off_plates(const Scope& k) { return !on_plates(k); }
bool lifted(const Scope& k) { return k.is<Bath>().out_at_degC.has_value(); }

records::OilState state_of(const Scope& k) {
  if (!k.given("state"))
    return records::OilState::fresh;
  const std::string word = k.node->choice("state", {"fresh", "used", "old"});
  return word == "used"  ? records::OilState::used
         : word == "old" ? records::OilState::old
                         : records::OilState::fresh;
}

std::string read_coolant_key(Scope& k) {
  records::CoolantRecord& coolant = k.is<Bath>().coolant;
  if (plain(k)) {
    const double h = k.node->quantity("htc", "heat_transfer_coefficient", {0, 1e6, true});
    coolant.key = "constant";
    coolant.name = "constant heat transfer coefficient";
    coolant.kind = CoolantKind::water; // a bath without flash point
    coolant.htc_W_m2K = {{0}, {h}, records::Interpolation::linear};
    return "";
  }
  std::string name = k.given("coolant") ? k.node->text("coolant") : "medium-oil";
  const RecordText text = k.record(RecordKind::coolant, "coolant", name, "coolant_override");
  const records::OilState state = state_of(k);
  coolant = read_once(k.all().records, text, "", [&] { return records::read_coolant(text.text, text.file); });
  if (state != records::OilState::fresh) {
    if (coolant.kind != CoolantKind::oil)
      k.fail("state", "only an oil grows old; this bath is none");
    coolant = records::read_coolant(text.text, text.file, state);
    k.told.push_back(
        which(k) + coolant.name + ": " + records::oil_state_name(state) +
        ", so slower or uneven by a wide band, and its flash point is taken lower; have it tested");
  }
  if (coolant.htc_kind == records::HtcKind::lumped) // never one for the other: they differ by a factor of two
    k.fail("coolant", "'" + name +
                          "' holds a lumped table (over the temperature of a probe's centre); a local one is "
                          "needed: make it with thinquench oil --lumped " +
                          text.file + " --out local.toml");
  if (!k.given("coolant") && quenched(k))
    k.told.push_back(which(k) + "quenched in " + coolant.name);
  return toml_string(name);
}

bool has_window(const records::CoolantRecord& c) { return c.recommended_to_degC > c.recommended_from_degC; }

double usual_temperature(const Scope& k) {
  const records::CoolantRecord& c = k.is<Bath>().coolant;
  return has_window(c)                     ? 0.5 * (c.recommended_from_degC + c.recommended_to_degC)
         : plain(k) || c.htc_W_m2K.empty() ? 20.0
                                           : c.table_bath_degC;
}

std::string assumed_temperature(const Scope& k) {
  const records::CoolantRecord& c = k.is<Bath>().coolant;
  return which(k) + (on_plates(k) ? "plates at " : "bath at ") + both_degrees(k.is<Bath>().temperature_degC) +
         (has_window(c) ? ", the middle of its usual " + both_degrees(c.recommended_from_degC) + " to " +
                              both_degrees(c.recommended_to_degC)
                        : std::string());
}

void check_temperature(const Scope& k) {
  const Bath& b = k.is<Bath>();
  const double T = b.temperature_degC;
  const char* key = k.given("temperature") ? "temperature" : "";
  const std::string at = brief(T, "temperature");
  if (!plain(k) && !on_plates(k)) {
    if (b.coolant.flash_degC && T >= *b.coolant.flash_degC)
      k.fail(key, at + " is at or above the flash point of this oil, " +
                      brief(*b.coolant.flash_degC, "temperature") + "; it would burn");
    if (b.coolant.kind == CoolantKind::water && (T < 0 || T > 100))
      k.fail(key, at + " is no liquid water; allowed: 0 degC to 100 degC");
    if (b.coolant.kind == CoolantKind::oil && T < -10)
      k.fail(key, at + " is too cold for an oil to be liquid; allowed: -10 degC to its flash point");
  }
}

void check_colder(const Scope& k) {
  const double T = k.is<Bath>().temperature_degC;
  const double blade =
      heated(k) ? k.c.furnace.setpoint_degC + k.c.furnace.reading_offset_K : k.c.start.temperature_degC;
  if (quenched(k) && !second(k) && T >= blade)
    k.fail(k.given("temperature") ? "temperature" : "", "the bath at " + brief(T, "temperature") +
                                                            " is not colder than the blade, " +
                                                            brief(blade, "temperature"));
}

double usual_volume(const Scope& k) { return plain(k) || air(k) || on_plates(k) ? 0 : shop_bath_m3; }

std::string assumed_volume(const Scope& k) {
  const double volume = k.is<Bath>().volume_m3;
  return volume > 0 ? which(k) + "bath of " + brief(volume, "volume") : "";
}

std::string assumed_agitation(const Scope& k) { return air(k) ? "" : which(k) + "bath and blade not moved"; }

std::string assumed_time(const Scope& k) {
  return which(k) + time_text(k.is<Bath>().time_s) + (on_plates(k) ? " between the plates" : " in the bath");
}

std::string assumed_interval(const Scope& k) {
  return time_text(k.is<Bath>().interval_s) + " from one blade of the row to the next";
}

std::string assumed_contact(const Scope& k) {
  const Plates& p = k.is<Plates>();
  return "contact with the plates " + brief(p.contact_W_m2K[0], "heat_transfer_coefficient") + ", a factor " +
         units::format_number(p.metal.contact_factor) + " either way";
}

void check_volume(const Scope& k) {
  if (!k.given("volume") || k.is<Bath>().volume_m3 == 0)
    return;
  if (on_plates(k))
    k.fail("volume", "plates have no volume; write plates.thickness");
  if (plain(k))
    k.fail("volume", "htc stands alone without a coolant, so the bath stays at its temperature");
  if (air(k))
    k.fail("volume", "air has no volume here; leave it out");
}

double usual_time(const Scope& k) {
  const bool oil = plain(k) || k.is<Bath>().coolant.kind == CoolantKind::oil;
  return on_plates(k) ? plates_s
         : oil        ? (k.c.wrap.on_in_oil ? oil_bath_in_foil_s : oil_bath_s)
         : air(k)     ? air_bath_s
                      : water_bath_s;
}

bool in_a_row(const Scope& k) { return k.is<Bath>().blades > 1; }

void check_wetting(const Scope& k) {
  const Bath& b = k.is<Bath>();
  const bool late = b.wetting_delay_s > 0 || b.wetting_speed_m_s > 0;
  if (b.immersion_m > 0 && late)
    k.fail("immersion", "cannot stand together with wetting_delay or wetting_speed; leave one of them out");
  if (b.flank_delay_s != 0 && (b.immersion_m > 0 || late))
    k.fail("flank_delay",
           "cannot stand together with immersion, wetting_delay or wetting_speed; leave one of them out");
}

void check_water(const Scope& k) {
  if (!k.given("water"))
    return;
  if (k.is<Bath>().coolant.kind != CoolantKind::oil)
    k.fail("water", "is what was found in an oil; this bath is none");
  if (k.is<Bath>().water > most_water)
    k.fail("water", brief(k.is<Bath>().water, "percent") +
                        " is free water: it sinks, flashes to steam and throws the hot oil out; allowed: 0 % "
                        "to 0.1 %, replace the oil");
}

constexpr Range contact_range{1, 1e7};

std::string read_metal(Scope& k) {
  std::string name = k.node->text("metal", "aluminium");
  const RecordText text = k.record(RecordKind::solid, "metal", name, {});
  records::SolidRecord& metal = k.is<Plates>().metal;
  metal = records::read_solid(text.text, text.file);
  metal.key = name;
  records::CoolantRecord& coolant = k.outer().is<Bath>().coolant;
  coolant.key = metal.key;
  coolant.name = metal.name;
  coolant.description = metal.description;
  coolant.kind = CoolantKind::air; // no liquid: nothing burns, spits or warms
  coolant.provenance = metal.provenance;
  return toml_string(name);
}

/// Contact with flank A; the record's when the case says nothing.
std::string read_contact(Scope& k) {
  Plates& plates = k.is<Plates>();
  const double usual = plates.metal.contact_W_m2K;
  if (!k.given("contact") && usual <= 0 && k.sound("metal"))
    k.fail("contact", "missing; the record of " + plates.metal.name +
                          " has no usual one, write contact = \"1500 W/(m2 K)\"");
  plates.contact_W_m2K.fill(
      k.node->quantity("contact", "heat_transfer_coefficient", contact_range, std::max(usual, 1.0)));
  return toml_string(units::format_quantity(plates.contact_W_m2K[0], "heat_transfer_coefficient"));
}

std::string read_contact_b(Scope& k) {
  double& contact = k.is<Plates>().contact_W_m2K[1];
  contact = k.node->quantity("contact_b", "heat_transfer_coefficient", contact_range, contact);
  return toml_string(units::format_quantity(contact, "heat_transfer_coefficient"));
}

const Table& plates_table() {
  static const Table table = [] {
    Table t;
    t.head =
        "# Plates pressed on both flanks in place of a liquid; spine and edge in the air. temperature: of "
        "the plates.";
    t.key("metal", sample(R"("aluminium")"), "aluminium | copper | the path of your own record of a solid",
          own(read_metal));
    t.key("thickness", &Plates::thickness_m, as("length"), from(1e-3, 0.3), usual("25 mm"), "of each plate");
    t.key("contact", as("heat_transfer_coefficient"), contact_range, sample("\"1500 W/(m2 K)\""),
          "between blade and plate; default: from the record, a factor 2 either way",
          tells(quenched, assumed_contact), doubt("plate_contact"), own(read_contact));
    t.key("contact_b", as("heat_transfer_coefficient"), contact_range, sample("\"1500 W/(m2 K)\""),
          "on flank B; default: as contact", doubt("plate_contact"), own(read_contact_b));
    return t;
  }();
  return table;
}

/// How a liquid comes to the blade.
void wetting_keys(Table& t) {
  using B = Bath;
  t.key("flank_delay", &B::flank_delay_s, as("time"), from(-60, 60), usual("0 s"), quiet("0.3 s"),
        "flank B meets the liquid this much later (laid in); below 0: flank A", of_liquid);
  t.key("flank_cooling", &B::flank_cooling, from(0.05, 20), usual("1"), quiet("0.8"),
        "heat transfer of flank B over that of the rest (swished sideways)", of_liquid);
  t.key("immersion", &B::immersion_m, as("length"), above(0, 1), usual("0 mm"), quiet("12 mm"),
        "edge only: this much of the width is in the bath, the rest in air", of_liquid, doubt("immersion"));
  t.key("wetting_delay", &B::wetting_delay_s, as("time"), from(0, 60), usual("0 s"), quiet("0.5 s"),
        "a blanket of vapour stands this long before the bath wets", of_liquid);
  t.key("wetting_speed", &B::wetting_speed_m_s, as("velocity"), from(1e-4, 10), usual("0 m/s"),
        quiet("30 mm/s"), "then it climbs from the edge at this speed; default: all at once", of_liquid);
}

void bath_rules(Table& t) {
  using B = Bath;
  t.rule("a second bath follows one", "/stages", [](const Scope& k) {
    if (second(k) && !quenched(k))
      k.fail("", "follows the bath, which is not among the stages");
  });
  t.rule("a liquid is liquid and does not burn", "coolant plates htc temperature", check_temperature);
  t.rule("a bath is colder than the blade",
         "temperature plates coolant /furnace /step /start /stages /blade.steel", check_colder);
  t.rule("only a liquid has a volume", "coolant plates htc volume", check_volume);
  t.rule("a blade can get as cold as it is to be lifted", "temperature coolant plates out_at",
         [](const Scope& k) {
           const B& b = k.is<B>();
           if (b.out_at_degC && *b.out_at_degC <= b.temperature_degC)
             k.fail("out_at", brief(*b.out_at_degC, "temperature") + " is not above the bath, " +
                                  brief(b.temperature_degC, "temperature") +
                                  "; the blade would never reach it");
         });
  t.rule("one way to get wet", "immersion wetting_delay wetting_speed flank_delay", check_wetting);
  t.rule("a row warms a bath of a size", "blades volume coolant plates", [](const Scope& k) {
    if (k.is<B>().blades > 1 && k.is<B>().volume_m3 <= 0)
      k.fail("blades", "warm a bath of finite volume only; write volume = \"8 L\" or leave blades out");
  });
  t.rule("free water is refused", "coolant plates water", check_water);
}

} // namespace

const Table& bath_table() {
  using B = Bath;
  static const Table table = [] {
    Table t;
    t.key("plates", &B::plates, below(plates_table));
    t.key("coolant", sample(R"("medium-oil")"),
          "a shipped key or the path of your own record (a table h over temperature)",
          only(nullptr, no_liquid), doubt("oil_h"), own(read_coolant_key));
    t.key("coolant_override", aside(), "values of the coolant's record, keys as there",
          only(nullptr, no_coolant),
          own([](Scope& k) { return k.node ? k.node->written("coolant_override") : ""; }),
          block(R"(# Single values of the coolant's record may be replaced; keys as in the record:
#[bath.coolant_override]
#flash = "190 degC"
)"));
    t.key("state", aside(R"("used")"),
          "of an oil: fresh (default) | used (a season of blades, filtered) | old (dark, thick or dirty); "
          "widens "
          "the bands, lowers the flash point",
          only(nullptr, no_coolant), own([](Scope& k) {
            const records::OilState state = state_of(k);
            return state == records::OilState::fresh ? std::string()
                                                     : toml_string(records::oil_state_name(state));
          }));
    t.key("htc", &B::fixed_htc_W_m2K, as("heat_transfer_coefficient"), above(0, 1e6), usual("0 W/(m2 K)"),
          quiet("1200 W/(m2 K)"), "plain constant instead of the coolant's table", only(nullptr, no_liquid),
          doubt("oil_h"));
    t.key("temperature", &B::temperature_degC, as("temperature"), from(-100, 700), aside("55 degC"),
          "default: middle of the coolant's recommended window", rule(usual_temperature),
          tells(quenched, assumed_temperature), plausible(-80, 100), doubt("oil_temperature"));
    t.key("volume", &B::volume_m3, as("volume"), from(1e-4, 100), words({{"large", 0}}), usual("8 L"),
          "\"large\": the bath stays at its temperature", rule(usual_volume), tells(quenched, assumed_volume),
          written(off_plates), doubt("oil_volume"));
    t.key("agitation", &B::agitation_m_s, as("velocity"), from(0, 5), usual("0 m/s"),
          "speed of blade against liquid", only(nullptr, no_coolant), tells(quenched, assumed_agitation),
          doubt("oil_agitation"));
    t.key("time", &B::time_s, as("time"), above(0, 100 * 3600.0), usual("60 s"),
          "in the bath; default oil 60 s (180 s in foil), water 20 s, air 20 min", rule(usual_time),
          tells(quenched, assumed_time));
    t.key("move", &B::move_s, as("time"), from(0, 600), usual("1 s"), aside(),
          "second bath: in the air from the first bath to this one",
          only(nullptr, second, "lies between two baths; it belongs to [second_bath]"));
    t.key("out_at", &B::out_at_degC, as("temperature"), from(-50, 900), aside("230 degC"),
          "lift when this is reached (interrupted quench), after `time` at the latest");
    t.key("out_where", &B::out_where, words({"surface", "inside", "edge", "spine"}), usual("surface"),
          aside(), "of the hottest surface | inside (hottest point) | edge | spine (centres)",
          only("out_at", lifted, "says where out_at is measured, but there is no out_at"));
    wetting_keys(t);
    t.key("blades", &B::blades, from(1, most_in_a_row), usual("1"), quiet("3"),
          "one after another through this bath; the last one is computed");
    t.key("interval", &B::interval_s, as("time"), from(0, 24 * 3600.0), usual("5 min"), aside(),
          "from one blade to the next; the bath cools between",
          only("blades", in_a_row, "lies between blades, but blades = 1"), tells(quenched, assumed_interval));
    t.key("water", &B::water, as("percent"), from(0, 1), usual("0 %"), quiet("0.02 %"),
          "found in the oil, by volume; from 0.05 % warned of, above 0.1 % refused");
    bath_rules(t);
    t.stands = quenched;
    return t;
  }();
  return table;
}

} // namespace tq::treatment::keys

namespace tq::treatment {

const keys::Table& key_table(const Bath&) { return keys::bath_table(); }

} // namespace tq::treatment
