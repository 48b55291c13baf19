// Grain of the austenite over a soak, and between which times a soak makes sense. Times in s, temperatures in
// degC, carbon in wt%.
#pragma once

#include "records/steel_record.hpp"
#include "steel/temper.hpp"

#include <string>
#include <vector>

namespace tq::steel {

/// ASTM grain number of a mean grain diameter [m] (square root of the mean grain area). ASTM E112:
/// G = 3.321928 log10(N) - 2.954 with N grains per mm2.
double grain_number(double diameter_m);
/// Mean grain diameter [m] of an ASTM grain number.
double grain_diameter(double number);

/// Grain [m] just after austenite has formed from bar stock (ASTM 11; assumption, no source).
inline constexpr double grain_as_formed = 8e-6;
/// Radius [m] of undissolved cementite in spheroidised bar (estimate, no source).
inline constexpr double carbide_radius = 0.3e-6;

/// Greatest grain [m] that particles let grow, infinite when none are left: Zener's (4/3) r / f with the
/// undissolved cementite (its share by volume taken as that by weight), and for steels with 0.08 %V and more
/// 15 um up to 900 degC by vanadium carbide (from memory).
double pinned_grain(const records::SteelRecord& steel, double carbon_wt, double T);
/// Factor K [um/s^0.211] of free growth, D = K t^0.211: 76671 exp(-89098 J/mol / RT). Lee & Lee 2008, Mater.
/// Des. 29, 1840 (from memory; made for low-alloy steel of up to 0.4 %C, from 850 degC; used here beyond
/// both). As the common law D^n - D0^n = K^n t, with n = 1/0.211.
double free_growth(double T);

/// Growth [um^n/s] of D^n, n = 1/0.211, that nothing holds back, and D^n [um^n] of a diameter [m].
double grain_growth_rate(double T);
double grain_power(double diameter_m);
/// Diameter [m] of a D^n.
double diameter_of(double grain_power);
/// D^n after a growth [um^n] that particles hold back from `limit_m` on.
double grown_power(double power, double growth, double limit_m);

/// A node of steel on its way through the furnace.
struct SoakState {
  double formed = 0;                ///< share of the start structure that is austenite (and its carbide)
  double carbon_wt = 0;             ///< in solution in it
  double grain_m = grain_as_formed; ///< grain of it
};
/// Austenite, carbon (the laws of transformation.hpp) and grain over a history.
SoakState soak_over(const std::vector<HistoryPoint>& history, const records::SteelRecord& steel,
                    records::StartState start);

struct SoakLimits {
  double austenite = 0.99; ///< share wanted at least
  double grain_number = 8; ///< coarser is too long; fracture grain 9 is good, 7 doubtful (from memory)
  double retained_austenite = 0.18; ///< more is too long
  double cooled_to_degC = 20;       ///< for the retained austenite
};

/// Sensible times at one temperature, from the moment the steel is there.
struct SoakWindow {
  enum class Early { austenite, carbon };
  enum class Late { nothing, grain, retained_austenite };
  double earliest_s = 0; ///< infinite when it never comes about
  double latest_s = 0;   ///< infinite when nothing is overdone within `longest_soak_s`
  Early early = Early::austenite;
  Late late = Late::nothing;
  std::string too_short, too_long; ///< what happens outside, in plain words
  bool sensible() const { return earliest_s < latest_s; }
};
/// Longest soak, and with that longest time in the furnace, that is looked at [s].
inline constexpr double longest_soak_s = 6 * 3600;
SoakWindow soak_window(const records::SteelRecord& steel, records::StartState start, double T,
                       const SoakLimits& limits = {});

} // namespace tq::steel
