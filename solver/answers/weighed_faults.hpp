// Draws of faults with the weight that readings give them. Part of explain.
#pragma once

#include "answers/explain.hpp"

#include <array>
#include <limits>
#include <vector>

namespace tq::answers {

/// The faults that act on the reading alone, by bits.
enum ReadingFault : unsigned { soft_skin_bit = 1, bad_place_bit = 2, reading_fault_masks = 4 };

/// One blade drawn, with one set of faults of the reading.
struct WeighedBlade {
  std::size_t stratum = 0, member = 0;
  unsigned reading_faults = 0;
  std::vector<std::size_t> faults; ///< all that it has
  std::vector<std::size_t> felt;   ///< those of them that the readings can feel
  double weight = 0;               ///< all sum to 1, that of something else included
  double fresh = 0, curve = 0;     ///< middle of what the readings say of the two common doubts [HRC]
  double fresh_variance = 0, curve_variance = 0; ///< and how sure they are of it
  double fit = 0;                                ///< chance to read farther off than this
};

class WeighedFaults {
 public:
  WeighedFaults(const FaultSample& sample, const Reading& reading);

  const std::vector<WeighedBlade>& blades() const { return blades_; }
  double something_else() const { return something_else_; } ///< its weight
  bool missed(const WeighedBlade& b) const { return sample_.draws[b.stratum][b.member].missed; }
  double effective_draws() const;
  double smoothing() const { return smoothing_; }
  double fit() const;
  /// Of a reading of the tester, or of a file, on this blade beside the common doubts.
  double tester_sd(const BladeHardness& h, std::size_t zone) const;
  double file_sd(const BladeHardness& h, std::size_t zone) const;
  bool felt(std::size_t fault) const { return felt_[fault]; }
  /// Root of the summed squares of the weights in each stratum, were the likelihood smooth enough for `draws`
  /// effective draws: by how much chance moves its share.
  std::vector<double> strata_unevenness(double draws) const;

 private:
  struct Part { ///< of a blade: one place in the ranges of the faults of the reading
    double log_likelihood, fresh, curve, fit, fresh_variance, curve_variance;
  };
  CommonDoubts doubts(const BladeHardness& h) const;
  Part part(const BladeHardness& h, const CommonDoubts& doubts, unsigned mask, double skin_share,
            double place_share) const;
  double file_part(Part& p, const BladeHardness& h, const CommonDoubts& doubts,
                   const CommonDoubts::Told& told, unsigned mask, double skin_share) const;
  void weigh(std::size_t stratum, std::size_t member, double odds);
  void find_felt();
  std::vector<double> weights(double power) const;
  double effective(const std::vector<double>& weights) const;
  double power_for(double draws) const;
  const records::FaultEntry& entry(unsigned bit) const;

  const FaultSample& sample_;
  const Reading& reading_;
  double tester_HRC_, hardest_HRC_ = 0;
  std::array<std::size_t, 3> reading_fault_{}; ///< index of the fault of bit 1 and of bit 2
  std::vector<bool> felt_;
  std::vector<WeighedBlade> blades_;
  std::vector<double> log_odds_, log_likelihood_; ///< of each blade; the last is something else
  double something_else_ = 0, smoothing_ = 1;
};

} // namespace tq::answers
