// Round bars that tell how deep a steel hardens: the end-quenched bar of ASTM A255 and Grossmann's ideal
// critical diameter, by the steel's own material model. No blade and no oil come in. Temperatures in degC,
// lengths in m.
#pragma once

#include "records/steel_record.hpp"

#include <string>
#include <vector>

namespace tq::steel {

/// Sixteenths of an inch, in which the distance from the quenched end is told (J1, J2, ...).
inline constexpr double sixteenth_m = 0.0254 / 16;

/// The end-quenched bar (25.4 mm thick, 101.6 mm long): a jet of water on one end, the rest in air. Along the
/// distance from the quenched end.
struct EndQuench {
  double hardening_degC = 0;
  std::vector<double> distance_m, hrc;
  std::vector<double> hardened, pearlite, bainite; ///< shares; hardened is martensite with its austenite
  std::vector<double> rate_704_K_s;                ///< cooling rate at 704 degC (1300 degF)

  /// A column at a distance, linear between.
  double at(const std::vector<double>& column, double distance) const;
  /// Distance [m] at which a falling column first passes `level`; NaN when it does not along the bar.
  double reaches(const std::vector<double>& column, double level) const;
};

/// ASTM A255: austenitised through at `hardening_degC`, which dissolves the carbon that saturates there;
/// grain and factors of the record. The jet is 20 kW/(m2 K) on water of 24 degC (10 to 20 in published
/// inverse solutions, from memory; its size hardly matters beyond J4), the side gives 10 W/(m2 K) and
/// radiates as oxidised steel, 0.8. One-dimensional, cells of 0.8 mm.
EndQuench end_quench(const records::SteelRecord& steel, double hardening_degC);

/// A published point of the end-quenched bar.
struct PublishedHardness {
  double distance_m, hrc;
};
/// The middle of the hardenability band of a shipped steel, by its key; empty where none is known.
std::vector<PublishedHardness> published_end_quench(const std::string& key);
inline constexpr const char* published_hardness_source =
    "middle of the hardenability band of 5160H, SAE J1268 (from memory)";

/// Ideal critical diameter [m]: the long round bar whose centre keeps `hardened` of its austenite for
/// martensite when its surface is at the bath's 24 degC from the first instant (Grossmann 1942, Trans. AIME
/// 150, 227). Between 1 and 400 mm; the end that is passed beyond.
double ideal_diameter(const records::SteelRecord& steel, double hardening_degC, double hardened = 0.5);

/// The same for half martensite by the factors of ASTM A255 (from memory): that of carbon for ASTM grain 7,
/// no more than at 0.90 %C, times those of Mn, Si, Ni, Cr, Mo, Cu and V; 7.6 % less for each number of finer
/// grain (Grossmann's curves for grain 6 to 8, from memory). Made for steel that is austenite through and
/// through, of up to some 0.9 %C: give what is in solution.
double ideal_diameter_a255(const records::Composition& in_solution, double grain_number);

} // namespace tq::steel
