// What the readings of one blade say of the shop it was made in.
//
// Each uncertain input of a case has a score; part of it is the shop's and stays, the rest is this blade's
// (stays.hpp). The blade is computed for draws of all scores, the readings are fitted with a linear function
// of them, what the fit misses counts as an error of its own, and the joint normal distribution of scores and
// readings gives what is believed afterwards (statistical linearisation; Garcia-Fernandez, Svensson,
// Morelande & Sarkka 2015, IEEE Trans. Signal Process. 63, 5561-5573). Then it is drawn anew about what came
// out, where the fit has to hold, until the draws carry their weight: importance weights of the last ones
// against what they should be tell how many are effective.
#pragma once

#include "answers/executor.hpp"
#include "records/log_record.hpp"
#include "shop/belief.hpp"
#include "shop/journal.hpp"
#include "treatment/case.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace tq::shop {

/// A blade as it was made, with its readings.
struct Blade {
  treatment::Case made; ///< as_made()
  Firing firing;
  std::size_t station = 0;
  std::optional<records::LogRecord> packet, oven;
  std::optional<records::LogRecord> quench = {}, coupon = {}; ///< through the oil
};

/// The case with what the entry says of the way to the oil and of the oil, each as exact as it was measured.
/// `read`: the case with the settings of the entry.
treatment::Case as_made(treatment::Case read, const Firing& firing);

struct LearnSettings {
  int draws = 96; ///< a round
  int least_rounds = 2, most_rounds = 3;
  double enough = 0.1; ///< of the draws effective: no further round
  std::uint64_t seed = 1;
};

/// A reading beside what was expected of it.
struct Held {
  std::string what; ///< "spine as quenched [HRC]"
  double read = 0;
  double before = 0, before_sd = 0; ///< expected before this blade, its own error included
  double after = 0;                 ///< expected now
  bool set_aside = false;           ///< so far off that it counts for little
};

struct Lesson {
  std::vector<Held> held;
  int draws = 0, rounds = 0;
  double effective = 0; ///< share of the draws of the last round
};

/// Adds what `blade` teaches to `belief`. The cost is that of draws times rounds on the coarse grid. Throws
/// treatment::SolverError when the solver gives up, treatment::Interrupted when the executor is stopped.
/// Without readings that the case could have nothing is learnt.
Lesson learn(Belief& belief, const Blade& blade, answers::Executor& executor,
             const LearnSettings& settings = {}, const answers::Executor::GoOn& go_on = {});

/// Name of the score that stays of an input of this case.
std::string score_name(const std::string& input, const std::string& width, const treatment::Case& c,
                       const std::string& bar);

/// The case as the shop knows it: every input that it has learnt something of moved to where it is believed
/// to be, and what is left in doubt in Case::uncertainty. `from`: "from 5 blades of this shop".
treatment::Case as_learnt(const treatment::Case& c, const Belief& belief, const std::string& bar,
                          const std::string& from);

/// What a tester read of a test block.
struct BlockReading {
  double written_HRC = 0; ///< on the block; blocks with the same are one
  double off_HRC = 0;     ///< read minus written
  double sd_HRC = 0;      ///< of what is written
};
/// A coupon of the steel and bar of a case against what was computed for it.
struct CouponReading {
  double one_hour_degC = 0;               ///< temper of one hour with the same Hollomon-Jaffe parameter
  double off_HRC = 0;                     ///< read minus computed
  double per_K_HRC = 0;                   ///< what one K more in its oven would have made
  int dents = 1;                          ///< of which it is the mean
  std::optional<BlockReading> block = {}; ///< read beside it, with as many dents
};
/// What the block beside it says that the tester read too much [HRC]: its reading, shrunk by what is written
/// on it and by the dents; 0 without a block.
double tester_by_block_HRC(const CouponReading& one);
/// Adds what coupons say at the temper of this case: of the curve the less the farther theirs was from it
/// (coupon.hpp), of oven and tester alike. In closed form, nothing is computed anew.
void hold_coupons(Belief& belief, const treatment::Case& c, const std::string& bar,
                  const std::vector<CouponReading>& coupons);

} // namespace tq::shop
