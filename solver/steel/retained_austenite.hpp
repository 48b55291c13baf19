// Retained austenite after the quench: what colder than room temperature still turns, and what waiting first
// costs. How tempering takes the rest: steel/temper.hpp. Temperatures in degC, lags in K, times in s.
#pragma once

#include "records/steel_record.hpp"

#include <array>

namespace tq::steel {

/// How much colder than without waiting the steel must be [K] before martensite goes on forming, after
/// `wait_s` at room temperature: 10 log10(1 + t / 1 min), so 18 K after an hour and 32 K after a day. That
/// austenite is stabilised by a pause, that the effect shows as such a lag and that it grows with the
/// logarithm of the time is Harris & Cohen 1949, Trans. AIME 180, 447 (from memory); the size is an
/// assumption, no source, good to a factor 2. The lag stays: what is left follows the Koistinen-Marburger
/// curve that much lower.
double stabilisation_lag(double wait_s);

/// Share of austenite left when steel that holds these shares is cooled to T after a pause of `wait_s`.
double austenite_after_cold(double austenite, double martensite, double ms_degC, double alpha_per_K, double T,
                            double wait_s);

/// What people cool blades with. -196 degC is the boiling point of nitrogen, -78 degC that of carbon dioxide
/// (sublimation, with alcohol for contact); -18 degC is a household freezer.
struct ColdMedium {
  const char* name;
  double T = 0;
};
inline constexpr std::array<ColdMedium, 3> cold_media = {
    {{"freezer", -18}, {"dry ice", -78}, {"liquid nitrogen", -196}}};

/// Shares of the reference treatment of a record, the one its tempering table is taken to belong to: the
/// usual soak of annealed bar in the middle of the usual hardening range, quenched to 20 degC without
/// pearlite and bainite.
struct ReferenceShares {
  double carbon_wt = 0, martensite = 0, austenite = 0, cementite = 0;
};
ReferenceShares reference_shares(const records::SteelRecord& steel);

} // namespace tq::steel
