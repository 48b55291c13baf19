// What the furnace's air takes from the surface: carbon out of the austenite, iron into scale, and the metal
// to leave on for it. Carbon in wt%, temperatures in degC, lengths in m.
#pragma once

#include <vector>

namespace tq::steel {

/// Diffusivity of carbon in austenite [m2/s]. Tibbetts 1980, J. Appl. Phys. 51, 4813:
/// 0.47 exp(-1.6 C - (37000 - 6600 C) / (1.987 T)) cm2/s, T in K. Alloying (a factor near 1) is left out.
double carbon_diffusivity(double carbon_wt, double T);
/// Parabolic constant [m2/s] of the scale on pure iron in air, x^2 = k t with x the thickness of the scale:
/// 6.1 exp(-169452 J/mol / RT) cm2/s, 700-1250 degC; Paidassi as quoted by Chen & Yuen 2003, Oxid. Met. 59,
/// 433 (from memory). Used down to 570 degC, below which there is no wuestite and next to no scale.
double scale_constant(double T);

/// Thickness of iron that went into a scale, as a share of the scale's (volume ratio of wuestite to
/// iron 1.75, from memory).
inline constexpr double iron_in_scale = 1 / 1.75;
/// Carbon steels scale 30-70 % less than iron (from memory): the middle.
inline constexpr double scale_on_carbon_steel = 0.5;
/// Square of the thickness [m2] by which scale on carbon steel grows in a second of air at T:
/// scale_constant() with `scale_on_carbon_steel`; none below 570 degC.
double film_rate(double T);
/// Film [m] with which a bright surface has come to 1 - 1/e of the way to a scaled one: what an oxide with an
/// index of absorption of 0.25 takes up of light of 3 um on the way in and out, wavelength / (8 pi k), where
/// steel at 700-800 degC radiates most. The index is an order of magnitude (from memory), the emissivity of
/// a growing film was not measured; that steel out of foil goes grey within seconds is common practice. It
/// errs to the bright side: a smooth film of magnetite on iron, by Airy's sum with magnetite's measured
/// constants (those of materials/optics.toml, to 20 um) and free electrons in the iron, over Planck's
/// spectrum at 700 to 800 degC, is four fifths of the way at 0.2 um and all of it at 0.3. Still air brings
/// oxygen for 1 to 2 um of wuestite in a second (heat transfer of 10 W/(m2 K) by analogy), so that the
/// parabola holds after the first quarter second. At 780 degC 0.2 and 0.5 um are less than half a second
/// apart.
inline constexpr double darkening_film_m = 0.5e-6;
/// Emissivity of steel under a film between that of bright and of scaled steel.
double emissivity_under(double film_m, double bright, double scaled);
/// The film [m] that belongs to it; an emissivity as good as that of scale is a thick one.
double film_of(double emissivity, double bright, double scaled);

/// A coat of anti-scale paint counts as bare for this share of the time, so that depths are a third of the
/// bare ones. Assumption, no source: a whole coat does better, a cracked one worse.
inline constexpr double painted_share_of_time = 0.1;

/// What lies between steel and air.
enum class Cover { bare, painted, foil };

/// A point of a history; temperature straight to the next point, cover unchanged up to it.
struct SkinPoint {
  double time_s = 0, T_degC = 0;
  Cover cover = Cover::bare;
};

struct SkinSettings {
  double carbon_wt = 0; ///< of the bar; its carbide counts as dissolved, so depths read a little high
  double austenite_from_degC = 0;              ///< Ac1: below it no carbon moves
  double scale_factor = scale_on_carbon_steel; ///< scale against that on pure iron
  double packet_skin_m = 0; ///< carbon that the foil's air can take, as a depth (see packet_skin)
};

/// Depths are below the surface as it is after scaling.
struct Skin {
  double soft_m = 0;         ///< down to half of the bar's carbon
  double affected_m = 0;     ///< down to 90 % of it
  double affected_97_m = 0;  ///< down to 97 %
  double surface_carbon = 0; ///< [wt%]
  double scale_m = 0;        ///< thickness of the scale grown
  double metal_lost_m = 0;   ///< steel that went into it
  double carbon_lost_m = 0;  ///< carbon gone, as a fully decarburised depth
};

/// Carbon and scale lost over a history. Surface in air: no carbon (open air; the true depth is no greater).
/// In foil: the same until the packet's oxygen is used up, then nothing leaves and the profile levels out.
/// Between A1 and A3 a skin with so little carbon turns to ferrite, which is soft and left out of the
/// diffusion. Implicit finite volumes in a frame that moves into the steel with the scale; D varies with
/// carbon.
Skin skin_over(const std::vector<SkinPoint>& history, const SkinSettings& settings);

/// Greatest depth [m] that the oxygen in `air_m3_m2` of air at 20 degC per area of steel can decarburise
/// fully: all of it to CO (half as much to CO2, and most of it goes to foil and iron). Stoichiometry.
double packet_skin(double carbon_wt, double density_kg_m3, double air_m3_m2);
/// Air left in a hand-folded packet per area of steel [m3/m2]: 20-50 cm3 on 150 cm2 (estimate, no source).
inline constexpr double packet_air = 35e-6 / 150e-4;

/// Thicknesses that go with grinding before and after hardening. Common practice, no source.
struct EdgeWishes {
  double finished_edge_m = 0.3e-3;    ///< behind the bevel when done; 0.2-0.5 mm for kitchen knives
  double finish_stock_m = 0.05e-3;    ///< per side, to take scratches out of sound steel
  double least_to_harden_m = 0.50e-3; ///< thinner edges cool in the transfer and buckle; trade 0.5-1.3 mm
};

struct GrindAllowance {
  enum class Governs { skin, floor };
  double grind_per_side_m = 0; ///< after hardening, through the affected skin (90 % of the carbon)
  double least_edge_m = 0;     ///< before hardening: the greater of the floor and of 2 x (scale + skin +
                               ///< finish stock) + finished edge
  Governs governs = Governs::floor;
};
GrindAllowance grind_allowance(const Skin& skin, const EdgeWishes& wishes = {});

} // namespace tq::steel
