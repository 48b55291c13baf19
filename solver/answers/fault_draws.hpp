// What a case would have read with each fault and each pair of faults, drawn together with all that nobody
// knows exactly about it (uncertain_inputs.hpp). Faults that act on the reading alone (a soft skin, a bad
// place) need no draws of their own: explain.cpp lays them on these.
#pragma once

#include "answers/executor.hpp"
#include "answers/experiment.hpp"
#include "answers/faults.hpp"
#include "answers/uncertain_inputs.hpp"
#include "records/fault_record.hpp"
#include "treatment/case.hpp"

#include <array>
#include <cstdint>
#include <functional>
#include <string>
#include <vector>

namespace tq::answers {

/// Something that may have gone wrong with this case.
struct Fault {
  records::FaultEntry entry;
  bool stays = false;      ///< the next blade has it too
  bool on_reading = false; ///< acts on tester and file, not on the blade
  double odds = 0;         ///< in this case, against nothing being wrong
};

/// HRC of each zone, brought to the grid of the case.
struct BladeHardness {
  bool sound = false;  ///< drawn, and the solver came through
  bool missed = false; ///< well soaked, and yet a zone that was to harden turned in the quench
  std::array<double, treatment::zone_count> quenched{}, tempered{};
};

/// Blades with the same faults: none, one, or two of those that act on the blade.
struct Stratum {
  std::vector<std::size_t> faults; ///< of the sample, ascending
  std::size_t next = 0;            ///< the stratum that the next blade is of, when nothing is cured
  double odds = 1;                 ///< product of those of its faults
};

/// What was drawn for one case; serves any number of readings.
struct FaultSample {
  treatment::Case stated; ///< the station alone, with its timer
  std::size_t station = 0;
  records::FaultRecord record;
  std::vector<Fault> faults;
  std::vector<UncertainInput> inputs;
  std::vector<Stratum> strata; ///< that without a fault first
  std::uint64_t seed = 1;
  std::size_t members = 0;    ///< sets of inputs and sizes drawn so far
  std::vector<double> scores; ///< [member * inputs + input], of a standard normal distribution
  /// By member: how much likelier the wide draws (below) make its inputs than the plain ones.
  std::vector<double> by_wide;
  std::vector<std::vector<BladeHardness>> draws; ///< [stratum][member]; the same member has the same inputs
  BladeHardness middle, rough; ///< the case itself, on its own grid and on the coarse one of the draws
  std::array<bool, treatment::zone_count> tester_valid{}; ///< thick and parallel enough there to be believed
  double fresh_sd_HRC = 0, curve_sd_HRC = 0; ///< doubts that move all fresh or all tempered hardness alike
  double fresh_middle_HRC = 0; ///< what the shop's readings say of the former; it is in the draws
  double oven_slope_HRC_per_K = ZoneAnswer::none; ///< of the least tempered hardness

  /// Nothing found: faults.size().
  std::size_t fault_index(const std::string& key) const;
  /// Whether the member is a wide draw: one with more of the oils and bars at the rim of what is known of
  /// them, since a quench that misses, misses there. Members in fours, as pairs of faults take them.
  static bool is_wide(std::size_t member) { return member / 4 % 2 == 1; }
  /// What each draw of the stratum counts for, by member, all together 1 but for chance; 0 where there is
  /// none. Plain and wide ones count as drawn from the mixture of both (balance heuristic; Veach & Guibas
  /// 1995, SIGGRAPH 95, 419-428), so that none weighs more than two of the plain ones.
  std::vector<double> weights_of_draws(std::size_t stratum) const;
};

inline constexpr int usual_fault_members = 64, least_fault_members = 8, most_fault_members = 4096;

/// Told the share done; false stops (throws treatment::Interrupted).
using ShareDone = std::function<bool(double)>;

/// Draws the faults and the doubts of station `station` of the case: `members` times each fault, a quarter of
/// it each pair. Members are drawn by the designed sample of the bands with this seed. Throws
/// records::InputError where the case has nothing to read (inert steel, no quench).
FaultSample draw_faults(const treatment::Case& c, std::size_t station, const records::FaultRecord& record,
                        Executor& executor, int members = usual_fault_members, std::uint64_t seed = 1,
                        const ShareDone& go_on = {});
/// Draws on: `wanted` further blades of each stratum (with what the next blade of each would have).
void draw_more(FaultSample& sample, const std::vector<std::size_t>& wanted, Executor& executor,
               const ShareDone& go_on = {});

/// Hardness of a case of one station on the coarse grid of the draws.
BladeHardness coarse_hardness(const treatment::Case& c);
/// A draw on the coarse grid as it would be on the fine one, by what both say of the case as stated; and no
/// harder after the temper than as quenched but for what austenite turned to, as computed.
BladeHardness on_fine_grid(const BladeHardness& draw, const FaultSample& sample);

} // namespace tq::answers
