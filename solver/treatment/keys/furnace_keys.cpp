// Keys of the furnace.
#include "treatment/keys/key.hpp"

#include <algorithm>

namespace tq::treatment::keys {
namespace {

constexpr Range temperature{20, 1300};
constexpr int most_side_by_side = 50;
constexpr double droop_of_one_blade_K = 10; ///< common practice: 6 to 17 K

bool logged(const Scope& k) { return k.is<Furnace>().log.has_value(); }
bool hot(const Scope& k) { return k.is<Furnace>().loading == Loading::hot; }

bool cold(const Scope& k) { return !hot(k); }
bool set_hot(const Scope& k) { return hot(k) && !k.given("log"); }
bool overshoots(const Scope& k) { return k.is<Furnace>().overshoot_K > 0; }
bool several(const Scope& k) { return k.is<Furnace>().blades > 1; }
double loading(const Scope& k) { return k.given("programme") ? 1 : 0; }

std::string read_furnace_log(Scope& k) {
  if (!k.given("log"))
    return "";
  Furnace& f = k.is<Furnace>();
  f.log = read_log(k);
  f.setpoint_degC = f.log->level_degC;
  if (!k.given("timer"))
    f.timer_s = f.log->time_s.back();
  return records::toml_string(k.node->text("log"));
}

std::string assumed_droop(const Scope& k) {
  const Furnace& f = k.is<Furnace>();
  return "the furnace droops " + brief(f.droop_K, "temperature_difference") + " on loading and recovers in " +
         time_text(f.recovery_s) + " (common practice)";
}

std::string assumed_conductance(const Scope& k) {
  return "brick and blade exchange " + brief(k.is<Support>().conductance_W_m2K, "heat_transfer_coefficient") +
         " in the slot (50 to 350, no source)";
}

double usual_setpoint(const Scope& k) {
  const Furnace& f = k.is<Furnace>();
  if (!hot(k))
    return f.programme.empty() ? 0 : f.programme.back().target_degC;
  const auto& usual = k.c.steel.austenitising;
  if (usual.hardening_to_degC <= 0 && k.sound("/blade.steel") && (k.node || heated(k)))
    k.fail("setpoint",
           "missing; an inert steel has no usual hardening temperature, write setpoint = \"800 degC\"");
  return 0.5 * (usual.hardening_from_degC + usual.hardening_to_degC);
}

std::string assumed_setpoint(const Scope& k) {
  const auto& usual = k.c.steel.austenitising;
  if (!hot(k))
    return "";
  return "set point " + both_degrees(k.is<Furnace>().setpoint_degC) + ", the middle of the usual " +
         both_degrees(usual.hardening_from_degC) + " to " + both_degrees(usual.hardening_to_degC) + " of " +
         k.c.steel.key;
}

double usual_droop(const Scope& k) {
  const int blades = k.given("blades") ? k.node->integer("blades", {1, most_side_by_side}) : 1;
  return std::min(droop_of_one_blade_K * blades, 400.0);
}

void check_programme(const Scope& k) {
  const Furnace& f = k.is<Furnace>();
  if (hot(k))
    return;
  if (f.programme.empty())
    k.fail("programme",
           "a cold load needs at least one [[furnace.programme]] line with target, rate and hold");
  const double last = f.programme.back().target_degC;
  if (std::abs(f.setpoint_degC - last) > 1e-6)
    k.fail("setpoint", brief(f.setpoint_degC, "temperature") + " is not the last target of the programme, " +
                           brief(last, "temperature") + "; leave it out or make them the same");
}

const Table& programme_table() {
  using S = surroundings::ProgrammeStep;
  static const Table table = [] {
    Table t;
    t.head = "# Cold load, one table per line of the controller (without droop and recovery):";
    t.key("target", &S::target_degC, as("temperature"), temperature, sample("650 degC"), "needed");
    t.key("rate", &S::rate_K_s, as("heating_rate"), above(0, 10), usual("0 K/min"), quiet("10 K/min"),
          "left out: as fast as it will");
    t.key("hold", &S::hold_s, as("time"), from(0, 100 * 3600.0), usual("0 s"), aside("15 min"), "default 0");
    return t;
  }();
  return table;
}

const Table& support_table() {
  static const Table table = [] {
    Table t;
    t.head = "# Slotted refractory under spine or edge:";
    t.key("face", &Support::face, words({{"spine", spine_face}, {"edge", edge_face}}), usual("spine"),
          "spine | edge: the end in the slot");
    t.key("depth", &Support::depth_m, as("length"), from(0, 0.05), usual("0 mm"), aside("3 mm"),
          "of the flanks in the slot; default 0: only the end face touches");
    t.key("conductance", &Support::conductance_W_m2K, as("heat_transfer_coefficient"), from(0, 1e4),
          usual("150 W/(m2 K)"), "brick to blade or foil (50 to 350, no source)",
          tells(heated, assumed_conductance), doubt("furnace_support"));
    t.key("cooler", &Support::cooler_K, as("temperature_difference"), from(0, 500), usual("0 K"),
          "how far the brick is below the furnace: at the door, or just put in");
    t.rule("the slot is less deep than the blade is wide", "depth /blade.station", [](const Scope& k) {
      const double depth = k.is<Support>().depth_m;
      for (const Station& station : k.c.blade.stations)
        if (depth >= station.profile.width())
          k.fail("depth", brief(depth, "length") + " swallows the whole width of " + station.name + ", " +
                              brief(station.profile.width(), "length"));
    });
    return t;
  }();
  return table;
}

} // namespace

const Table& furnace_table() {
  using F = Furnace;
  static const Table table = [] {
    Table t;
    log_keys(t, read_furnace_log);
    t.key("loading", &F::loading, words({"hot", "cold"}), usual("hot"),
          "hot: soaked at the set point | cold: follows [[furnace.programme]]", rule(loading), without_log());
    t.key("programme", &F::programme,
          only("loading", cold, "belongs to loading = \"cold\"; a hot load needs only the setpoint"),
          below(programme_table));
    t.key("setpoint", &F::setpoint_degC, as("temperature"), temperature, aside("802 degC"),
          "on the display; default: middle of the steel's usual hardening range", rule(usual_setpoint),
          tells(heated, assumed_setpoint), plausible(600, 1200), doubt("furnace_reading"), without_log());
    t.key("timer", &F::timer_s, as("time"), above(0, 100 * 3600.0), aside("35 min"),
          plausible(120, 12 * 3600.0),
          "blade out after this; left out: set by the program from the asked soak",
          unset("set by the program from the asked soak"));
    t.key("timer_from", &F::timer_start, words({"door", "recovery"}), usual("door"),
          "the timer starts at: door (closing) | recovery (of the display)");
    t.key("droop", &F::droop_K, as("temperature_difference"), from(0, 400), usual("10 K"),
          "hot load: sag of the furnace on loading (common practice: 6-17 K)", rule(usual_droop),
          only("loading log", set_hot, "belongs to a hot load; here the load is cold or a log is given"),
          tells(heated, assumed_droop), doubt("furnace_droop"));
    t.key("recovery", &F::recovery_s, as("time"), from(0, 10 * 3600.0), usual("4 min"),
          "until 5 % of the sag is left (common practice)",
          only("loading log", set_hot, "belongs to a hot load; here the load is cold or a log is given"),
          doubt("furnace_recovery"));
    t.key("reading_offset", &F::reading_offset_K, as("temperature_difference"), from(-200, 200), usual("0 K"),
          "true temperature minus display", doubt("furnace_reading"));
    t.key("wall_emissivity", &F::wall_emissivity, from(0.05, 1), usual("0.75"),
          "refractory; 1 = the blade is small against a large cavity", doubt("furnace_walls"));
    t.key("convection", &F::convection_W_m2K, as("heat_transfer_coefficient"), from(0, 1000),
          usual("12 W/(m2 K)"), "natural convection inside the muffle", doubt("furnace_convection"));
    t.key("overshoot", &F::overshoot_K, as("temperature_difference"), from(0, 200), usual("0 K"),
          quiet("10 K"), "of the controller after it first reads the set point; default 0", without_log());
    t.key("overshoot_peak", &F::overshoot_peak_s, as("time"), from(1, 3600), usual("5 min"), aside(),
          "from then to the highest", written(overshoots));
    t.key("blades", &F::blades, from(1, most_side_by_side), usual("1"), quiet("3"),
          "side by side, flanks facing: the middle one is computed; droop is 10 K for each");
    t.key("spacing", &F::spacing_m, as("length"), from(1e-3, 1), aside("30 mm"),
          "between facing flanks (needed with blades): each sees less of the walls",
          only("blades", several, "lies between blades, but blades = 1"),
          missing("missing; several blades shade one another, write the distance between facing flanks, "
                  "like \"30 mm\""));
    t.key("support", &F::support, below(support_table));
    t.rule("a programme ends at the set point", "loading programme setpoint", check_programme);
    t.rule("a timer that starts late has a time", "log timer timer_from", [](const Scope& k) {
      if (logged(k) && !k.given("timer") && k.is<F>().timer_start == TimerStart::recovery)
        k.fail("timer_from", "needs a timer here: without one the blade is out at the end of the log");
    });
    t.rule("the log lasts to the timer", "log timer", [](const Scope& k) {
      const F& f = k.is<F>();
      constexpr double slack_s = 1e-3;
      if (logged(k) && f.timer_s && blade_out_s(f) > f.log->time_s.back() + slack_s)
        k.fail("timer", "takes the blade out after " + brief(blade_out_s(f), "time") +
                            ", but the log ends after " + brief(f.log->time_s.back(), "time"));
    });
    t.rule("what sags recovers", "droop recovery", [](const Scope& k) {
      if (k.is<F>().droop_K > 0 && k.is<F>().recovery_s == 0)
        k.fail("recovery", "a furnace that droops needs a time to recover, more than 0 s");
    });
    t.stands = heated;
    return t;
  }();
  return table;
}

} // namespace tq::treatment::keys

namespace tq::treatment {

const keys::Table& key_table(const Furnace&) { return keys::furnace_table(); }

} // namespace tq::treatment
