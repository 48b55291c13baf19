// What the questions share. Internal to the find_*.cpp files.
#pragma once

#include "answers/executor.hpp"
#include "answers/find.hpp"
#include "answers/search.hpp"
#include "steel/grain.hpp"
#include "treatment/run.hpp"

#include <functional>
#include <map>
#include <memory>
#include <string>
#include <vector>

namespace tq::answers::questioning {

[[gnu::format(printf, 1, 2)]] std::string format(const char* pattern, ...);

/// A case being asked about.
struct Asked {
  const treatment::Case& c;
  const FindOptions& options;
  std::string key; ///< of the question, for messages
  Executor& executor;
  std::function<bool()> go_on; ///< asked now and then; false stops (treatment::Interrupted)

  /// By the executor.
  void for_each(std::size_t n, const Executor::Work& work) const;

  const Ladder& degrees() const { return options.fahrenheit ? five_degF : five_degC; }
  std::string degrees_unit() const { return options.fahrenheit ? "degF" : "degC"; }
  /// "800 degC", or in degF when that is what is set.
  std::string degrees_text(double degC) const;
  void require(treatment::Part stage) const;
  /// Neither inert nor, where `soaked`, without a furnace.
  void require_steel() const;
  [[noreturn]] void refuse(const std::string& why) const;
};

/// One setting on the rungs of its ladder: each rung is a trial of its own, on the coarse grid to search with
/// and on the case's own to confirm, and is computed once. Several rungs are tried at the same time where the
/// executor can; which ones does not depend on it.
class Rungs {
 public:
  using Set = std::function<void(Experiment&, long)>;
  using Good = std::function<bool(Experiment&)>;
  /// `set` puts a rung's setting into a trial of `c`; nothing before stage `from` may depend on it.
  Rungs(const Asked& a, const treatment::Case& c, treatment::Part from, Set set);
  Rungs(const Rungs&) = delete;
  Rungs& operator=(const Rungs&) = delete;

  /// On the case's own grid, computed up to where the setting begins to matter.
  const Experiment& as_given() const { return *exact_.as_given; }
  Experiment& rough(long k) { return at(rough_, k); }
  Experiment& exact(long k) { return at(exact_, k); }
  /// Ends of the rungs within [from, to] that are good, as in search.hpp. `until`: the stage to which nearly
  /// every rung must be computed to be judged.
  std::optional<long> last_good(long from, long to, treatment::Part until, const Good& good);
  std::optional<long> first_good(long from, long to, treatment::Part until, const Good& good);
  /// The same, looked for on the case's own grid alone, from `guess`.
  std::optional<long> first_good_from(long guess, long from, long to, treatment::Part until,
                                      const Good& good);
  /// Is it good on either grid?
  bool good_on_both(long k, treatment::Part until, const Good& good);

 private:
  struct Grid {
    std::unique_ptr<Experiment> as_given;
    std::map<long, std::unique_ptr<Experiment>> rungs;
  };
  Experiment& at(Grid& grid, long k);
  GoodOfMany judge(Grid& grid, treatment::Part until, const Good& good);

  const Asked& asked_;
  Set set_;
  Grid rough_, exact_;
};

/// Computes all stations of the trials up to `until`, at the same time where the executor can.
void compute(const Asked& a, const std::vector<Experiment*>& trials, treatment::Part until);

/// Runs of all stations of `c` on its own grid, without the tempers: what the skin has been through.
std::vector<treatment::Run> runs_before_temper(const Asked& a, const treatment::Case& c);

Finding begin(const Asked& a, std::string asked_text);
/// Fills the outcome and the verdicts of the settings in `trial`.
void take_outcome(Finding& f, Experiment& trial);
/// The same, and the cautions beside `places` ("oil", "temper" ...).
void finish(Finding& f, const Asked& a, Experiment& trial, const std::vector<std::string>& places);
/// Nothing found: the case as given.
void give_up(Finding& f, const Asked& a, std::string because);

Setting minutes(std::string name, std::string key, std::string case_key, double s);
Setting seconds(std::string name, std::string key, std::string case_key, double s);
Setting temperature(const Asked& a, std::string name, std::string key, std::string case_key, double degC);
Setting length(std::string name, std::string key, std::string case_key, double m);
Setting volume(std::string name, std::string key, std::string case_key, double m3);
Setting count(std::string name, std::string key, std::string case_key, double n);
Setting hardness(std::string name, std::string key, double hrc);
Setting share(std::string name, std::string key, double value);
/// A limit: nothing printed of it lies beyond it.
inline Setting at_most(Setting s) {
  s.side = Side::down;
  return s;
}
inline Setting at_least(Setting s) {
  s.side = Side::up;
  return s;
}

/// Part of a limit that a setting may use up. The steps of the solver fall otherwise in a whole run than in a
/// trial. A share goes with the third power of its clock, so that moves it by up to a percent: what is found
/// must hold in both.
inline constexpr double usable_part = 0.99;
/// True when the share of pearlite and bainite passes, that hair to spare.
inline bool passes(const treatment::Case& c, double transformed) {
  return transformed <= usable_part * c.thresholds.transformed_pass;
}
/// True when every zone hardens.
inline bool hardens(const treatment::Case& c, const Outcome& o) { return passes(c, o.transformed()); }
/// Why it does not: zone, share and what it turned to.
std::string soft_zone(const treatment::Case& c, const Outcome& o);
/// The blade may be lifted when its surface no longer lights or smokes the oil [degC]; 1e9 when nothing
/// limits it.
double lift_below(const treatment::Case& c);
/// What find_soak.cpp takes for overdone.
inline constexpr double most_retained_austenite = 0.18; ///< as steel::SoakLimits and the warnings
inline constexpr double coarsest_grain_number = 8;      ///< ASTM, as steel::SoakLimits
inline constexpr double longest_timer_s = steel::longest_soak_s;
/// Ends of what is looked at: liquid nitrogen [degC], the bath [m3], the time in it [s].
inline constexpr double coldest_degC = -195, most_oil_m3 = 0.2, longest_bath_s = 600;
/// Ends of what is looked at for baths without a usual window [degC].
inline constexpr double coldest_water_degC = 5, hottest_water_degC = 90;
/// Retained austenite allowed over what 20 degC leaves; assumption, no source.
inline constexpr double more_austenite = 0.02;
/// Settings 2 and 3 of an interrupted quench: how long it can be bent after lifting, and until it is half
/// hard.
std::vector<Setting> window_settings(const Asked& a, Experiment& lifted);
/// True furnace temperature at the hardening hold.
inline double furnace_true_degC(const treatment::Case& c) {
  return c.furnace().setpoint_degC + c.furnace().reading_offset_K;
}
/// Sets the timer that gives the asked soak.
void let_timer_follow(treatment::Case& c);
/// ASTM grain number at the edge after the soak.
double grain_number(Experiment& trial, std::size_t station);

Finding find_timer(const Asked& a);
Finding find_out(const Asked& a);
Finding find_setpoint(const Asked& a);
Finding find_programme(const Asked& a);
Finding find_temper(const Asked& a);
Finding find_temper_time(const Asked& a);
Finding find_temper_cycles(const Asked& a);
Finding find_cool_to(const Asked& a);
Finding find_transfer(const Asked& a);
Finding find_oil_volume(const Asked& a);
Finding find_oil_temperature(const Asked& a);
Finding find_foil_gap(const Asked& a);
Finding find_lift(const Asked& a);
Finding find_interrupt(const Asked& a);
Finding find_spine(const Asked& a);
Finding find_edge(const Asked& a);
Finding find_batch(const Asked& a);
Finding find_reharden(const Asked& a);
Finding find_normalise(const Asked& a);

} // namespace tq::answers::questioning
