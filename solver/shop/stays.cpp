#include "shop/stays.hpp"

#include "answers/sampling.hpp"
#include "units/quantity.hpp"

#include <algorithm>
#include <array>

namespace tq::shop {
namespace {

enum class Owner { furnace, loading, foil, surface, hands, oil, tank, plates, steel, bar, oven, blade };

struct Stay {
  const char* input;
  double share; ///< assumption, from practice, no source, where none is told
  Owner owner;
};

/// What two pieces of one bar differ by after the same temper [HRC], reading included: what rows scatter
/// about a smooth surface over temperature and time of each series by itself (Hollomon & Jaffe 1945, Grange &
/// Baughman 1956; README.md); beside the doubt of the shipped tempering tables, 2 HRC nine times in ten.
constexpr double piece_HRC = 0.35, table_HRC = 2 / answers::normal_half_90,
                 of_one_bar = 1 - piece_HRC * piece_HRC / (table_HRC * table_HRC);

// A furnace's couple drifts slowly, a packet is folded by the same hands, a bar stays the bar it is.
constexpr std::array<Stay, 36> stays{{
    {"furnace_reading", 0.9, Owner::furnace},
    {"furnace_droop", 0.7, Owner::loading},
    {"furnace_recovery", 0.7, Owner::loading},
    {"furnace_walls", 1, Owner::furnace},
    {"furnace_convection", 0.9, Owner::furnace},
    {"furnace_support", 0.8, Owner::furnace},
    {"foil_gap", 0.7, Owner::foil},
    {"foil_contact", 0.5, Owner::foil},
    {"foil_outside", 0.8, Owner::foil},
    {"foil_inside", 0.8, Owner::foil},
    {"steel_emissivity", 0.5, Owner::surface},
    {"transfer_time", 0.3, Owner::hands},
    {"oil_h", 0.85, Owner::oil},
    {"oil_blanket", 0.8, Owner::oil},
    {"oil_temperature", 0.2, Owner::tank},
    {"oil_volume", 0.9, Owner::tank},
    {"oil_agitation", 0.6, Owner::hands},
    {"oil_by_temperature", 0.9, Owner::oil},
    {"oil_by_agitation", 0.9, Owner::oil},
    {"plate_contact", 0.7, Owner::plates},
    {"immersion", 0.3, Owner::hands},
    {"coat_thickness", 0.3, Owner::hands},
    {"coldest", 0.3, Owner::tank},
    {"steel_carbon", 0.95, Owner::bar},
    {"steel_solution", 0.95, Owner::bar},
    {"reheated_carbide", 0.7, Owner::bar},
    {"reheated_grain", 0.7, Owner::bar},
    {"steel_pearlite", 0.95, Owner::bar},
    {"steel_bainite", 0.95, Owner::bar},
    {"steel_progress", 0.95, Owner::steel},
    {"steel_ms", 0.95, Owner::bar},
    {"martensite_rate", 0.95, Owner::steel},
    {"fresh_hardness", 0.95, Owner::bar},
    {"temper_curve", of_one_bar, Owner::bar},
    {"oven_reading", 0.85, Owner::oven},
    {"oven_swing", 0.9, Owner::oven},
}};

const Stay* found(std::string_view input) {
  const auto at = std::find_if(stays.begin(), stays.end(), [&](const Stay& s) { return input == s.input; });
  return at == stays.end() ? nullptr : &*at;
}

std::string told(double si, const char* dimension) { return units::format_quantity(si, dimension); }

std::string of_foil(const treatment::Case& c) {
  std::string text = "foil " + c.wrap.foil.key, last;
  for (const double gap : c.wrap.gap_m)
    if (const std::string one = ", gap " + told(gap, "length"); one != last)
      text += last = one;
  return text;
}

std::string of_oil(const treatment::Case& c) {
  const treatment::Bath& bath = c.bath();
  return bath.fixed_htc_W_m2K > 0 ? "bath of " + units::format_number(bath.fixed_htc_W_m2K) + " W/(m2 K)"
                                  : bath.coolant.key;
}

std::string of_bar(const treatment::Case& c, const std::string& bar) {
  return c.steel.key + (bar.empty() ? "" : ", bar " + bar);
}

} // namespace

double share_that_stays(std::string_view input) {
  const Stay* stay = found(input);
  return stay == nullptr ? 0 : stay->share;
}

std::string belongs_to(std::string_view input, const treatment::Case& c, const std::string& bar) {
  const Stay* stay = found(input);
  switch (stay == nullptr ? Owner::blade : stay->owner) {
  case Owner::furnace:
    return "furnace";
  case Owner::loading: // factors on what the case states
    return "furnace, sag " + told(c.furnace().droop_K, "temperature_difference") + " for " +
           told(c.furnace().recovery_s, "time");
  case Owner::foil:
    return of_foil(c);
  case Owner::surface:
    return "bright steel " + units::format_number(c.surface.emissivity_furnace) +
           (c.wrap.layers > 0 ? " in foil" : "");
  case Owner::hands:
    return "hands";
  case Owner::oil:
    return of_oil(c);
  case Owner::tank:
    return "tank of " + told(c.bath().volume_m3, "volume");
  case Owner::plates:
    return "plates";
  case Owner::steel:
    return c.steel.key;
  case Owner::bar:
    return of_bar(c, bar);
  case Owner::oven:
    return "oven";
  case Owner::blade:
    break;
  }
  return {};
}

} // namespace tq::shop
