// "It came out soft, why?" and "what does my reading mean?": measured hardness held against the case. What
// may have gone wrong is a list of faults; each is drawn some dozen times together with all that nobody knows
// exactly about the case (uncertain_inputs.hpp), and what each draw would have read is compared with what was
// read (Bayes' rule by weights of a sample drawn beforehand: importance sampling). The same weights tell what
// the next blade will have.
#pragma once

#include "answers/executor.hpp"
#include "answers/trial.hpp"
#include "answers/uncertain_inputs.hpp"
#include "steel/reading.hpp"
#include "treatment/case.hpp"

#include <array>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace tq::answers {

/// One place of a station read by a Rockwell tester.
struct HardnessReading {
  std::size_t zone = 0; ///< treatment::Zone
  double hrc = 0;
  bool tempered = false; ///< after the last temper; else as quenched, after the case's cold
};

/// All that was read of one blade made as the case says.
struct Reading {
  std::size_t station = 0;
  std::vector<HardnessReading> hardness;
  std::optional<steel::FileFeel> file; ///< at the edge, as quenched
  bool ground = false;                 ///< the skin was ground off before: 0.1 to 0.2 mm per side
  double tester_HRC = 1;               ///< nine readings in ten are this near; common practice, no source
};

/// Something that may have gone wrong, beyond what the case doubts.
struct Fault {
  std::string key;    ///< "slow_oil"; "none": all as the case says, within its doubts
  std::string name;   ///< "the oil is slower than stated"
  std::string test;   ///< the cheap test that tells it from the others
  std::string remedy; ///< what to do about it
  bool stays = false; ///< the next blade has it too
  double weight = 0;  ///< before any reading; they sum to 1
};

/// What was drawn for one case; serves any number of readings.
struct FaultSample {
  /// HRC of a draw in each zone, brought to the grid of the case.
  struct Draw {
    bool sound = false; ///< the solver came through
    std::array<double, treatment::zone_count> quenched{}, tempered{};
  };
  std::size_t station = 0;
  std::vector<Fault> faults; ///< those that this case can have, "none" first
  std::vector<UncertainInput> inputs;
  std::size_t members = 0;
  std::vector<double> scores;             ///< [member * inputs + input], of a standard normal distribution
  std::vector<std::vector<Draw>> draws;   ///< [fault][member]; the same member has the same inputs in each
  std::vector<std::vector<double>> sizes; ///< [fault][member], 0 to 1 along the fault's range
  Draw stated;                            ///< the case itself
  std::array<bool, treatment::zone_count> tester_valid{}; ///< thick and parallel enough there to be believed
  double fresh_sd_HRC = 0, curve_sd_HRC = 0; ///< doubts that move all fresh or all tempered readings alike
  double oven_slope_HRC_per_K = ZoneOutcome::none; ///< of the least tempered hardness
};

inline constexpr int usual_fault_members = 64;

/// Draws the faults and the doubts of station `station` of the case. Members are drawn by the designed sample
/// of the bands with this seed. `go_on` is told the share done; false stops (throws treatment::Interrupted).
/// Throws records::InputError where the case has nothing to read (inert steel, no quench).
FaultSample draw_faults(const treatment::Case& c, std::size_t station, Executor& executor,
                        int members = usual_fault_members, std::uint64_t seed = 1,
                        const std::function<bool(double)>& go_on = {});

/// Middle and 90 % band.
struct Forecast {
  double middle = ZoneOutcome::none, low = ZoneOutcome::none, high = ZoneOutcome::none;
};

struct Explanation {
  struct Cause {
    std::size_t fault = 0; ///< of the sample
    double probability = 0;
  };
  /// What the readings say of one input: how far its middle moved, in parts of its own 90 % half-width.
  struct Shift {
    std::string name;
    double moved = 0;
  };
  std::vector<Cause> causes;      ///< most likely first; sum to 1
  std::vector<Shift> shifts;      ///< those that moved by a quarter or more and by more than chance
  std::vector<Forecast> expected; ///< of each reading, before it was taken, tester included
  double farthest =
      0; ///< of the best draw, in standard deviations; beyond 3 nothing here explains the reading
  // the next blade, made the same way with nothing cured, in the zone of the first reading (the edge without)
  std::size_t next_zone = 0;
  Forecast quenched_before, quenched_after, tempered_before, tempered_after;
  /// Oven that brings the middle of `tempered_after` to the middle of the wish, 5 degC down; nothing without
  /// a wish, a temper or a slope.
  std::optional<double> oven_degC;
};

/// Holds the readings against the draws. Throws records::InputError for readings that the case cannot have.
Explanation explain(const treatment::Case& c, const FaultSample& sample, const Reading& reading);

/// One fault of the case at `size` (0 to 1 along its range), for trials on invented shops. What it does to
/// the blade goes into the case; what it does to a tester or a file at a place is reading_error().
void apply_fault(treatment::Case& c, const std::string& key, double size);
/// HRC that tester and file read too low because of the fault.
double reading_error(const FaultSample& sample, const Reading& reading, const std::string& key, double size,
                     std::size_t zone, bool by_file);

} // namespace tq::answers
