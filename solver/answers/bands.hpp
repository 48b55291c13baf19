// Every answer as a middle value with the band that holds 90 % of what may happen, and the inputs that the
// band comes from. The case is computed some hundred times on a coarse grid, each time with all uncertain
// inputs (uncertain_inputs.hpp) drawn anew by a designed sample (sampling.hpp).
#pragma once

#include "answers/answers.hpp"
#include "answers/executor.hpp"
#include "answers/quick_answer.hpp"
#include "answers/uncertain_inputs.hpp"

#include <cstdint>
#include <functional>
#include <limits>
#include <string>
#include <vector>

namespace tq::answers {

inline constexpr int fewest_members = 32, most_members = 100000;

struct BandSettings {
  int members = 128;         ///< fewest_members to most_members; powers of two fill the space best
  std::uint64_t seed = 1;    ///< same seed and members, same bands, whatever the executor
  bool keep_members = false; ///< fill Bands::sample and Band::members
};

/// One input's part in the spread of one answer.
struct Cause {
  std::size_t input = 0; ///< index into Bands::inputs
  double share = 0;      ///< of the variance, 0..1
};

/// One answer with its band. NaN where no member has the figure.
struct Band {
  static constexpr double none = std::numeric_limits<double>::quiet_NaN();
  std::string key;                ///< the figure's name; its unit and meaning: figures.hpp
  double nominal = none;          ///< the point answer, on the grid of the case
  double middle = none;           ///< half of the members lie below
  double low = none, high = none; ///< 5 % of the members lie below, 5 % above; may be infinite
  double nine_from = none;        ///< nine members in ten lie at or above
  double nine_to = none;          ///< nine members in ten lie at or below
  double known = 0;               ///< share of the members that have this figure at all
  /// Greatest first, those below 1 % left out; the shares sum to at most 1. What is missing to 1 comes from
  /// inputs acting together and from what the fit does not catch. Empty when nothing spreads.
  std::vector<Cause> causes;
  std::vector<double> members; ///< by member, NaN where it has none; only with keep_members
};

/// A verdict over the members, each of which passes, is marginal or fails.
struct BandedVerdict {
  Verdict verdict = Verdict::not_asked;
  double passing = Band::none; ///< share of the members that pass
  double failing = Band::none; ///< share of the members that fail; the others are marginal
  std::vector<Cause> causes;   ///< what decides between pass and not
};
/// Nine in ten pass and hardly any fails: pass. Most fail and at most one in five passes: fail. Rules of this
/// program, no source. Draws tell chances as they are, so a FAIL is no pass in four blades of five at least
/// (tests/random/README.md).
inline constexpr double passing_for_pass = 0.9, failing_for_pass = 0.05, failing_for_fail = 0.5,
                        passing_for_fail = 0.2;
Verdict verdict_of(double passing, double failing);

/// The chance of landing in the wished hardness, at the case's oven and at the one that does best.
struct OvenChance {
  double here = Band::none; ///< share of the members in which every zone that is to be hard lands
  double best =
      Band::none; ///< the same at `best_degC`; at most a little more than `here` when none does better
  double best_degC = Band::none; ///< NaN when no other oven was looked at
};
/// In the wish a draw passes; up to `near_miss_HRC` beside it, which a bench tester does not tell from it
/// (good to +/- 1 HRC, common practice), it is marginal; farther it fails. A chance is fair when at least so
/// many blades land in the wish; another oven does noticeably better when it lands so many more. Pass: the
/// chance is fair, no other oven does noticeably better, and at most one blade in ten fails. Fail: three in
/// four do. Rules of this program, no source, set so that the words are right as often as they claim
/// (tests/random/README.md).
inline constexpr double fair_chance = 0.5, noticeably_better = 0.1, near_miss_HRC = 1, missing_for_pass = 0.1,
                        missing_for_fail = 0.75;
Verdict hardness_verdict_of(const OvenChance& chance, double failing);

struct ZoneBands {
  std::string name;
  BandedVerdict soak;     ///< austenite and carbon in solution of this zone
  BandedVerdict hardens;  ///< pearlite and bainite of this zone
  BandedVerdict hardness; ///< inside the wanted range after tempering
  std::vector<Band> figures;
  const Band* find(const std::string& key) const; ///< null when there is none
};

struct StationBands {
  std::string name;
  BandedVerdict soak, quench, hardness; ///< members in which every zone of the station passes
  std::vector<Band> figures;            ///< of the station and its surface
  std::array<ZoneBands, treatment::zone_count> zones;
  const Band* find(const std::string& key) const;
};

struct Bands {
  int members = 0; ///< computed, failed ones included
  int failed = 0;  ///< members at which the solver gave up; they count in no band
  std::string first_failure;
  std::uint64_t seed = 0;
  std::vector<UncertainInput> inputs;
  BandedVerdict soak, quench; ///< worst station
  BandedVerdict hardness;     ///< members in which every station lands in the wish, judged by `oven`
  OvenChance oven;
  std::vector<StationBands> stations;
  std::vector<double> sample; ///< drawn changes, [member * inputs.size() + input]; only with keep_members
};

/// The same answers judged by their bands: every verdict is that of the draws, its reason says how many pass
/// and what decides, and then how it stands as stated; what is recommended holds for nine draws in ten. What
/// people are shown when there are bands.
Answers judged_by(const Answers& stated, const Bands& bands);

/// The draws of a case, for those who share them out: each member is computed by its number alone, wherever
/// that is, and gives plain numbers that can be sent anywhere; the numbers of all members give the bands.
class Draws {
 public:
  /// What the members need of the answers to the case as stated.
  struct Stated {
    double timer_used_s = 0;     ///< of the first station, from closing the door
    std::vector<double> spare_s; ///< least_transfer_to_spare(), by station
    static Stated of(const Answers& nominal);
  };

  Draws(const treatment::Case& c, const Stated& stated, const BandSettings& settings);

  /// Pieces of work: the members, and as the last one the case as stated on the coarse grid.
  std::size_t pieces() const { return n_ + 1; }
  /// The figures of one piece. Throws treatment::SolverError when the solver gives up.
  std::vector<double> piece(std::size_t i) const;
  /// How many numbers a piece has.
  static std::size_t numbers(const Answers& nominal);
  /// The bands of all pieces in the order of their numbers, an empty one where the solver gave up; `nominal`
  /// as given to Stated::of(). Throws treatment::SolverError when more than half of the members failed.
  Bands reduce(const Answers& nominal, std::vector<std::vector<double>> pieces,
               const std::string& first_failure = {}) const;

 private:
  treatment::Case c_;
  BandSettings settings_;
  std::vector<double> spare_s_;
  std::vector<UncertainInput> inputs_;
  std::size_t n_ = 0;
  std::vector<double> points_, changes_; ///< [member * inputs + input]
};

/// Share of the work done, 0..1; return false to stop (throws treatment::Interrupted).
using BandProgress = std::function<bool(double share)>;

/// The bands of the answers `nominal` to the case `c` (as given to answer()). A timer that the case leaves to
/// the program is the one of `nominal` in every member: what is set is set. Throws treatment::Interrupted,
/// and treatment::SolverError when more than half of the members fail.
Bands bands(const treatment::Case& c, const Answers& nominal, const BandSettings& settings,
            Executor& executor, const BandProgress& progress = {});

} // namespace tq::answers
