// The colour that a clean blade takes on in the tempering oven: thickness of the oxide film and the
// interference colour that goes with it. A hint, never a control: light, oil film, polish and alloy shift it
// by some 20 K, and in foil, oil or salt it means nothing.
#pragma once

#include "steel/temper.hpp"

#include <array>
#include <string>
#include <vector>

namespace tq::steel {

/// Law of the film in air, some 175-350 degC: direct logarithmic, x = L ln(1 + integral of k dt), as iron
/// oxidises there (Davies, Evans & Agar 1954, Proc. R. Soc. A 225, 443, from memory), with k an Arrhenius
/// rate of the activation energy of growing magnetite, 140-170 kJ/mol (from memory; middle taken): twice the
/// time is worth 10 K. The rate at 250 degC and the decay length L are fitted to one table of colours after 1
/// h (0.35 %C steel, from memory), straw to light blue, see tests. One constant does not do: a parabola with
/// that activation energy has faint straw to light blue within 45 K, the tables within 130 K; with the best
/// rate it misses some table by 35 K or more, the cubic law of thin films by 20 K or more (tested).
inline constexpr double oxide_activation_J_mol = 150e3;
inline constexpr double oxide_rate_250_per_s = 0.0579;
inline constexpr double oxide_decay_m = 6.33e-9;

/// Rate k [1/s] of that law.
double oxide_rate(double T_degC);
/// Film [m] after a history on a bright surface or on a film of `before_m`; any order of holds adds up.
double oxide_over(const std::vector<HistoryPoint>& history, double before_m = 0);

/// Share of light reflected at normal incidence by air / magnetite of `oxide_m` / iron, wavelength in m,
/// 0.38- 0.78 um. Airy's sum of the Fresnel coefficients with the constants of materials/optics.toml.
double oxide_reflectance(double oxide_m, double wavelength_m);

struct Colour {
  std::array<double, 3> xyz{}; ///< CIE 1931 2 degree, a perfect mirror has Y = 1
  std::array<double, 3> lab{}; ///< CIE 1976, white D65
  std::array<int, 3> srgb{};   ///< 0..255 (IEC 61966-2-1), clipped to what a screen can show
  std::string name;            ///< as the trade says it
  std::string hex() const;     ///< "#C0BEBB"
};
/// Colour of a film in daylight D65. Colour matching by the analytic fit of Wyman, Sloan & Shirley 2013, J.
/// Computer Graphics Techniques 2(2), 1. The name goes by hue, lightness and chroma (limits chosen here).
Colour oxide_colour(double oxide_m);

/// What to expect to see, and what 20 K of doubt either way would show.
struct ColourHint {
  double oxide_m = 0;
  Colour colour;
  std::string from, to; ///< names 20 K cooler and 20 K hotter
};
inline constexpr double colour_doubt_K = 20;
ColourHint colour_over(const std::vector<HistoryPoint>& history);

} // namespace tq::steel
