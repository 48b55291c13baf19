// Keys of the air, the cold and the tempering oven.
#include "treatment/keys/key.hpp"
#include "units/quantity.hpp"

namespace tq::treatment::keys {
namespace {

constexpr Range room{-50, 100}, convection{0, 1000, true};

std::string cycles(const Scope& k) {
  return "tempered " + std::to_string(k.c.temper.count) + " x " + time_text(k.is<Oven>().time_s);
}

std::string read_oven_log(Scope& k) {
  if (!k.given("log"))
    return "";
  Oven& oven = k.is<Oven>();
  oven.log = read_log(k);
  oven.oven_degC = oven.log->level_degC;
  return records::toml_string(k.node->text("log"));
}

bool timed(const Scope& k) { return tempered(k) && k.given("time"); }
bool any_oven(const Scope& k) { return tempered(k) && !k.given("convection"); }

} // namespace

const Table& transfer_table() {
  using T = Transfer;
  static const Table table = [] {
    Table t;
    t.key("time", &T::time_s, as("time"), from(0, 3600), usual("2 s"), "furnace to bath", plausible(0, 90),
          tells(moved,
                [](const Scope& k) {
                  return brief(k.is<T>().time_s, "time") + " from the furnace to the bath";
                }),
          doubt("transfer_time"));
    t.key("in_foil", &T::in_foil, usual("false"),
          "true: the foil comes off at the bath; default: as wrap.in_oil",
          rule([](const Scope& k) { return k.c.wrap.on_in_oil ? 1.0 : 0.0; }));
    t.key("air", &T::air_degC, as("temperature"), room, usual("20 degC"), "its temperature");
    t.key("convection", &T::convection_W_m2K, as("heat_transfer_coefficient"), convection,
          usual("0 W/(m2 K)"), quiet("10 W/(m2 K)"), "plain number instead of natural convection");
    t.rule("foil in the air as in the oil", "in_foil /wrap", [](const Scope& k) {
      if (k.is<T>().in_foil && k.c.wrap.layers == 0)
        k.fail("in_foil", "true, but the blade has no foil ([wrap] foil)");
      if (!k.is<T>().in_foil && k.c.wrap.on_in_oil)
        k.fail("in_foil", "false, but the foil stays on in the oil (wrap.in_oil = true)");
    });
    t.stands = moved;
    return t;
  }();
  return table;
}

const Table& cool_table() {
  using C = Cool;
  static const Table table = [] {
    Table t;
    t.remark = "in air after the bath";
    t.key("air", &C::air_degC, as("temperature"), room, usual("20 degC"), "its temperature",
          doubt("coldest"));
    t.key("convection", &C::convection_W_m2K, as("heat_transfer_coefficient"), convection,
          usual("0 W/(m2 K)"), quiet("10 W/(m2 K)"), "plain number instead of natural convection");
    t.key("lowest", &C::lowest_degC, as("temperature"), from(-200, 300), usual("20 degC"),
          "lowest temperature before tempering: hand-warm, room, freezer; default: air",
          rule([](const Scope& k) { return k.is<C>().air_degC; }),
          tells(cooled,
                [](const Scope& k) {
                  return "cooled to " + both_degrees(k.is<C>().lowest_degC) + " before tempering";
                }),
          doubt("coldest"));
    t.key("wait", &C::wait_s, as("time"), from(0, 400 * 3600.0), usual("0 s"), quiet("1 h"),
          "left lying at room temperature before the freezer, dry ice or nitrogen");
    t.rule("one waits before the cold", "air lowest wait", [](const Scope& k) {
      if (k.is<C>().wait_s > 0 && k.is<C>().lowest_degC >= k.is<C>().air_degC)
        k.fail("wait", "is the time before cooling below the air, so `lowest` must lie below `air`");
    });
    t.stands = cooled;
    return t;
  }();
  return table;
}

const Table& temper_table() {
  using T = Oven;
  static constexpr double fan_W_m2K = 30, still_W_m2K = 10, usual_time_s = 2 * 3600;
  static const Table table = [] {
    Table t;
    t.remark = "without this table there is no temper";
    log_keys(t, read_oven_log);
    t.key("oven", &T::oven_degC, as("temperature"), from(50, 750), sample("205 degC"), "needed here",
          plausible(120, 320), doubt("oven_reading"), without_log());
    t.key("time", &T::time_s, as("time"), above(0, 100 * 3600.0), usual("2 h"), plausible(600, 48 * 3600.0),
          "each time, from blade in; default: 2 h, with a log as long as that", rule([](const Scope& k) {
            const auto& log = k.is<T>().log;
            return log ? log->time_s.back() : usual_time_s;
          }),
          tells(tempered, cycles));
    t.key("count", from(1, 20), usual("2"), "of tempers", tells(timed, cycles), own([](Scope& k) {
            k.c.temper.count = k.node->integer("count", {1, 20}, k.given("log") ? 1 : 2);
            return std::to_string(k.c.temper.count);
          }));
    t.key("kind", &T::kind, words({"still", "fan"}), usual("still"), "still | fan",
          tells(any_oven, "tempering oven without a fan"));
    t.key("delay", &T::delay_s, as("time"), from(0, 10000 * 3600.0), aside("30 min"),
          "left untempered after the quench; default: not stated");
    t.key("swing", &T::swing_K, as("temperature_difference"), from(0, 200), usual("0 K"),
          "amplitude of the oven's swing about its set point",
          tells(tempered, "the oven holds its set point without swing"), doubt("oven_swing"), without_log());
    t.key("swing_period", &T::swing_period_s, as("time"), from(1, 10 * 3600.0), usual("10 min"),
          "of that swing", without_log());
    t.key("edge_extra", &T::edge_extra_K, as("temperature_difference"), from(0, 200), usual("0 K"),
          "how much hotter the thin edge is held (radiation of the element)");
    t.key("convection", &T::convection_W_m2K, as("heat_transfer_coefficient"), convection,
          aside("10 W/(m2 K)"), "default: 10 W/(m2 K) still, 30 W/(m2 K) fan",
          rule([](const Scope& k) { return k.is<T>().kind == OvenKind::fan ? fan_W_m2K : still_W_m2K; }));
    t.key("emissivity", &T::emissivity, from(0, 1), words({{"bright", 0.35}, {"scaled", 0.8}}),
          usual("bright"), "bright | scaled | a number");
    t.rule("the log lasts as long as the temper", "log time", [](const Scope& k) {
      const T& oven = k.is<T>();
      constexpr double slack_s = 1e-3;
      if (oven.log && oven.time_s > oven.log->time_s.back() + slack_s)
        k.fail("time", brief(oven.time_s, "time") + " in the oven, but the log ends after " +
                           brief(oven.log->time_s.back(), "time"));
    });
    t.whole = true;
    return t;
  }();
  return table;
}

} // namespace tq::treatment::keys

namespace tq::treatment {

using namespace keys;

const keys::Table& key_table(const Air&) {
  using A = AirForm;
  static const Table table = [] {
    Table t;
    t.key("air", in<A>(&Air::air_degC), as("temperature"), room, usual("20 degC"), "its temperature");
    t.key("convection", in<A>(&Air::convection_W_m2K), as("heat_transfer_coefficient"), convection,
          usual("0 W/(m2 K)"), quiet("10 W/(m2 K)"), "plain number instead of natural convection");
    t.key("until", in<A>(&Air::until_degC), as("temperature"), from(-50, 900), aside("30 degC"),
          "left until its hottest place is down to this; without it the air is a way, for a time");
    t.key("time", in<A>(&Air::time_s), as("time"), from(0, 100 * 3600.0), usual("2 s"),
          "in this air; with until 4 h at most",
          rule([](const Scope& k) { return k.is<A>().until_degC ? longest_cooling_s : 2.0; }));
    t.key("in_foil", &A::in_foil, usual("false"),
          "the foil stays on; default: true with until, else as wrap.in_oil",
          rule([](const Scope& k) { return k.c.wrap.on_in_oil || k.is<A>().until_degC ? 1.0 : 0.0; }));
    return t;
  }();
  return table;
}

const keys::Table& key_table(const Cold&) {
  static const Table table = [] {
    Table t;
    t.key("temperature", &Cold::medium_degC, as("temperature"), from(-200, 20), sample("-75 degC"),
          "needed: of freezer, dry ice or nitrogen");
    t.key("wait", &Cold::wait_s, as("time"), from(0, 400 * 3600.0), usual("0 s"), "in the air before");
    t.key("hold", &Cold::hold_s, as("time"), from(0, 100 * 3600.0), usual("0 s"),
          "after the blade has its temperature");
    return t;
  }();
  return table;
}

const keys::Table& key_table(const Oven&) { return temper_table(); }

} // namespace tq::treatment
