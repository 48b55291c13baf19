// The colour that a clean blade takes on in the tempering oven: thickness of the oxide film and the
// interference colour that goes with it. A hint, never a control: light, oil film, polish and alloy shift it
// by some 20 K, and in foil, oil or salt it means nothing.
#pragma once

#include "steel/temper.hpp"

#include <array>
#include <string>
#include <vector>

namespace tq::steel {

/// Law of the film in air, some 175-350 degC: fourth power, x^4 = integral of k dt, proposed for films so
/// thin that the space charge in them rules the transport (Engell, Hauffe & Ilschner 1954, Z. Elektrochem.
/// 58, for nickel at 400 degC; from memory, page not noted; it was not measured on iron). k is an Arrhenius
/// rate with the activation energy of growing magnetite, 140-170 kJ/mol (from memory), 150 taken and not
/// tuned: near 250 degC twice the time is worth 10 K. One constant is fitted, the rate at 250 degC: the one
/// with the least rms distance between the entries of five usual tables of colours after about 1 h and the
/// temperatures between which the law shows each colour. Of the cited forms tried (parabola, cubic, fourth
/// power, logarithmic) this is the one that meets the tables with one constant, so the agreement is partly by
/// choice; how the colour goes with time rests on the activation energy alone, as no table gives several
/// times. tests/unit/steel/README.md has the figures of all of them.
inline constexpr double oxide_activation_J_mol = 150e3;
inline constexpr double oxide_rate_250_m4_s = 1.744e-34;

/// Rate k [m4/s] of that law.
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
