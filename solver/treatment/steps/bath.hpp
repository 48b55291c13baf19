// A bath: oil, water, brine, moving gas, hot salt or oil that is left to hold its temperature, or plates.
#pragma once

#include "records/coolant_record.hpp"
#include "treatment/steps/kind.hpp"
#include "treatment/steps/plates.hpp"

#include <optional>

namespace tq::treatment {

/// Which temperature decides when to lift the blade: hottest point of the outermost surface or inside, or the
/// centre of a zone.
enum class LiftPlace { surface, inside, edge, spine };

struct Bath {
  std::optional<double> out_at_degC; ///< lift when the place below is down to this; `time_s` at the latest
  LiftPlace out_where = LiftPlace::surface;
  double immersion_m = 0;       ///< > 0: only this much of the width, from the edge up, is in the bath
  double wetting_delay_s = 0;   ///< vapour covers the surface for this long first
  double wetting_speed_m_s = 0; ///< > 0: then the liquid climbs from the edge at this speed
  double flank_delay_s = 0;     ///< flank B meets the liquid this much after the rest; < 0: flank A does
  double flank_cooling = 1;     ///< heat transfer of flank B over that of the rest
  double move_s = 0;            ///< short form of the second bath: in the air between the first and this one
  std::optional<Plates> plates;
  records::CoolantRecord coolant;
  double temperature_degC = 60;
  double volume_m3 = 0; ///< 0 = so large that it stays at its temperature
  double agitation_m_s = 0;
  int blades = 1;             ///< alike, one after another through this bath; the last one is computed
  double interval_s = 0;      ///< from one blade to the next
  double water = 0;           ///< share of water found in the oil, by volume
  double time_s = 0;          ///< seconds in the bath
  double fixed_htc_W_m2K = 0; ///< > 0: plain constant h
  double air_degC = 20;       ///< of the air above it and round its tank
  double air_convection_W_m2K = 0;
};

const char* word(const Bath& bath);
Part counts_as(const Bath& bath);
const keys::Table& key_table(const Bath& bath);
void take(const Bath& bath, Simulation& sim, double seconds, const StepObserver& observer);
double expected_s(const Bath& bath);
std::vector<double> usual_frames(const Bath& bath);
double weight(const Bath& bath);
bool same_on_both_flanks(const Bath& bath);

} // namespace tq::treatment
