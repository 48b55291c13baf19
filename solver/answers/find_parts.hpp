// What the questions share. Internal to the find_*.cpp files.
#pragma once

#include "answers/find.hpp"
#include "answers/search.hpp"

#include <string>

namespace tq::answers::questioning {

[[gnu::format(printf, 1, 2)]] std::string format(const char* pattern, ...);

/// A case being asked about.
struct Asked {
  const treatment::Case& c;
  const FindOptions& options;
  std::string key; ///< of the question, for messages

  const Ladder& degrees() const { return options.fahrenheit ? five_degF : five_degC; }
  std::string degrees_unit() const { return options.fahrenheit ? "degF" : "degC"; }
  /// "800 degC", or in degF when that is what is set.
  std::string degrees_text(double degC) const;
  void require(treatment::Stage stage) const;
  /// Neither inert nor, where `soaked`, without a furnace.
  void require_steel() const;
  [[noreturn]] void refuse(const std::string& why) const;
};

/// A Trial on the coarse grid to search with and one on the case's own to confirm, moved together.
class Pair {
 public:
  explicit Pair(const treatment::Case& c) : rough(coarse_case(c)), exact(c) {}
  Trial rough, exact;
};

Finding begin(const Asked& a, std::string asked_text);
/// Fills the outcome of the settings in `trial`, and the cautions beside `places` ("oil", "temper" ...).
void finish(Finding& f, Trial& trial, const std::vector<std::string>& places);
/// Nothing found: the case as given.
void give_up(Finding& f, const Asked& a, std::string because);

Setting minutes(std::string name, std::string key, std::string case_key, double s);
Setting seconds(std::string name, std::string key, std::string case_key, double s);
Setting temperature(const Asked& a, std::string name, std::string key, std::string case_key, double degC);
Setting difference(std::string name, std::string key, double K);
Setting length(std::string name, std::string key, std::string case_key, double m);
Setting volume(std::string name, std::string key, std::string case_key, double m3);
Setting count(std::string name, std::string key, std::string case_key, double n);
Setting hardness(std::string name, std::string key, double hrc);
Setting share(std::string name, std::string key, double value);

/// True when every zone hardens.
inline bool hardens(const treatment::Case& c, const Outcome& o) {
  return o.transformed() <= c.thresholds.transformed_pass;
}
/// Why it does not: zone, share and what it turned to.
std::string soft_zone(const treatment::Case& c, const Outcome& o);
/// True furnace temperature at the hardening hold.
inline double furnace_true_degC(const treatment::Case& c) {
  return c.furnace.setpoint_degC + c.furnace.reading_offset_K;
}
/// Sets the timer that gives the asked soak.
void let_timer_follow(treatment::Case& c);
/// ASTM grain number at the edge after the soak.
double grain_number(const treatment::Case& c, const StationOutcome& s);

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
