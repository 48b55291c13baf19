#include "answers/weighed_faults.hpp"

#include "units/math.hpp"

#include <boost/math/special_functions/gamma.hpp>

#include <algorithm>
#include <cmath>
#include <numeric>

namespace tq::answers {
namespace {

constexpr int places_in_range = 6;     ///< at which a fault of the reading is laid on a draw
constexpr double least_effective = 12; ///< draws; below it the likelihood is smoothed
/// A reading of something else may be anything a tester shows on a blade, and any feel of a file.
constexpr double anything_HRC = 50, any_feel = 1.0 / 3;

double place(int k) { return (k + 0.5) / places_in_range; }

} // namespace

WeighedFaults::WeighedFaults(const FaultSample& sample, const Reading& reading)
    : sample_(sample), reading_(reading),
      tester_HRC_(reading.tester_HRC.value_or(sample.record.reading.tester_HRC)),
      felt_(sample.faults.size(), true) {
  reading_fault_ = {0, sample.fault_index("soft_skin"), sample.fault_index("bad_place")};
  find_felt();
  for (const double hrc : sample.middle.quenched)
    hardest_HRC_ = std::max(hardest_HRC_, hrc);
  for (std::size_t s = 0; s < sample.strata.size(); ++s) {
    const std::vector<double> drawn = sample.weights_of_draws(s);
    for (std::size_t m = 0; m < sample.members; ++m)
      if (drawn[m] > 0)
        weigh(s, m, sample.strata[s].odds * drawn[m]);
  }
  log_odds_.push_back(math::log(sample.record.reading.something_else));
  log_likelihood_.push_back(-math::log(anything_HRC) * static_cast<double>(reading.hardness.size()) +
                            math::log(any_feel) * static_cast<double>(reading.files.size()));
  smoothing_ = power_for(least_effective);
  const std::vector<double> w = weights(smoothing_);
  for (std::size_t i = 0; i < blades_.size(); ++i)
    blades_[i].weight = w[i];
  something_else_ = w.back();
}

/// One that no reading can feel is not up for judgement.
void WeighedFaults::find_felt() {
  const auto set = [&](const std::string& key, bool value) {
    if (const std::size_t f = sample_.fault_index(key); f < felt_.size())
      felt_[f] = value;
  };
  const auto& read = reading_.hardness;
  set("hot_oven", std::any_of(read.begin(), read.end(), [](const auto& r) { return r.tempered; }));
  set("bad_place",
      std::any_of(read.begin(), read.end(), [&](const auto& r) { return !sample_.tester_valid[r.zone]; }));
  set("soft_skin",
      (!read.empty() && !reading_.ground) || std::any_of(reading_.files.begin(), reading_.files.end(),
                                                         [](const FileReading& f) { return !f.ground; }));
}

const records::FaultEntry& WeighedFaults::entry(unsigned bit) const {
  return sample_.faults[reading_fault_[bit]].entry;
}

double WeighedFaults::tester_sd(const BladeHardness& h, std::size_t zone) const {
  return hardness_reading_sd(sample_.record.reading, tester_HRC_, sample_.tester_valid[zone],
                             hardest_HRC_ - h.quenched[zone]);
}

double WeighedFaults::file_sd(const BladeHardness& h, std::size_t zone) const {
  return file_reading_sd(sample_.record.reading, hardest_HRC_ - h.quenched[zone]);
}

/// What the readings of this blade would have in common.
CommonDoubts WeighedFaults::doubts(const BladeHardness& h) const {
  std::vector<double> mixture;
  for (const double hrc : h.quenched)
    mixture.push_back(mixture_sd(sample_.record.reading, hardest_HRC_ - hrc));
  std::vector<CommonDoubts::Read> reads;
  for (const HardnessReading& r : reading_.hardness)
    reads.push_back(
        {r.zone, r.tempered,
         hardness_reading_sd(sample_.record.reading, tester_HRC_, sample_.tester_valid[r.zone], 0)});
  return CommonDoubts(sample_.fresh_sd_HRC, sample_.curve_sd_HRC, mixture, reads);
}

WeighedFaults::Part WeighedFaults::part(const BladeHardness& h, const CommonDoubts& doubts, unsigned mask,
                                        double skin_share, double place_share) const {
  std::vector<double> misses;
  for (const HardnessReading& r : reading_.hardness) {
    double low = 0;
    if (mask & soft_skin_bit)
      low += reading_fault_HRC(entry(soft_skin_bit), skin_share, false, reading_.ground, true);
    if (mask & bad_place_bit)
      low += reading_fault_HRC(entry(bad_place_bit), place_share, false, false, sample_.tester_valid[r.zone]);
    misses.push_back(r.hrc - ((r.tempered ? h.tempered : h.quenched)[r.zone] - low));
  }
  const CommonDoubts::Told told = doubts.told(misses);
  Part p{told.log_likelihood, told.fresh, told.curve, 1, doubts.fresh_variance(), doubts.curve_variance()};
  const double squares = told.squares + file_part(p, h, doubts, told, mask, skin_share);
  p.fit =
      boost::math::gamma_q(0.5 * static_cast<double>(misses.size() + reading_.files.size()), 0.5 * squares);
  return p;
}

/// What the files say; returns how far off the blade is, squared and summed.
double WeighedFaults::file_part(Part& p, const BladeHardness& h, const CommonDoubts& doubts,
                                const CommonDoubts::Told& told, unsigned mask, double skin_share) const {
  double squares = 0;
  for (const FileReading& f : reading_.files) {
    const double low =
        mask & soft_skin_bit ? reading_fault_HRC(entry(soft_skin_bit), skin_share, true, f.ground, true) : 0;
    const double sd =
        math::hypot(file_reading_sd(sample_.record.reading, 0), std::sqrt(doubts.variance_at(f.zone)));
    constexpr double least = 1e-12;
    const double chance =
        std::max(least, file_chances(h.quenched[f.zone] - low + doubts.middle_at(told, f.zone),
                                     sd)[static_cast<std::size_t>(f.feel)]);
    p.log_likelihood += math::log(chance);
    squares += chance < 0.5 ? math::pow(normal_quantile(chance), 2) : 0;
  }
  return squares;
}

/// The blade with no, one or two faults of the reading beside its own, never more than two in all.
void WeighedFaults::weigh(std::size_t stratum, std::size_t member, double odds) {
  const BladeHardness& h = sample_.draws[stratum][member];
  const std::vector<std::size_t>& own = sample_.strata[stratum].faults;
  const CommonDoubts common = doubts(h);
  for (unsigned mask = 0; mask < reading_fault_masks; ++mask) {
    const std::size_t more = (mask & soft_skin_bit ? 1U : 0U) + (mask & bad_place_bit ? 1U : 0U);
    if (own.size() + more > 2)
      continue;
    WeighedBlade b;
    b.stratum = stratum;
    b.member = member;
    b.reading_faults = mask;
    b.faults = own;
    double all = odds;
    for (const unsigned bit : {1U, 2U})
      if (mask & bit) {
        if (reading_fault_[bit] == sample_.faults.size())
          all = 0;
        else {
          b.faults.push_back(reading_fault_[bit]);
          all *= sample_.faults[reading_fault_[bit]].odds;
        }
      }
    if (!(all > 0))
      continue;
    std::copy_if(b.faults.begin(), b.faults.end(), std::back_inserter(b.felt),
                 [&](std::size_t f) { return felt_[f]; });
    std::vector<Part> parts;
    for (int i = 0; i < (mask & soft_skin_bit ? places_in_range : 1); ++i)
      for (int j = 0; j < (mask & bad_place_bit ? places_in_range : 1); ++j)
        parts.push_back(part(h, common, mask, place(i), place(j)));
    double best = -INFINITY, sum = 0;
    for (const Part& p : parts)
      best = std::max(best, p.log_likelihood);
    for (const Part& p : parts) {
      const double w = math::exp(p.log_likelihood - best);
      sum += w;
      b.fresh += w * p.fresh;
      b.curve += w * p.curve;
      b.fit += w * p.fit;
    }
    // the same for all places in the range
    b.fresh_variance = parts.front().fresh_variance;
    b.curve_variance = parts.front().curve_variance;
    b.fresh /= sum;
    b.curve /= sum;
    b.fit /= sum;
    blades_.push_back(std::move(b));
    log_odds_.push_back(math::log(all));
    log_likelihood_.push_back(best + math::log(sum / static_cast<double>(parts.size())));
  }
}

std::vector<double> WeighedFaults::weights(double power) const {
  std::vector<double> w(log_odds_.size());
  double best = -INFINITY, sum = 0;
  for (std::size_t i = 0; i < w.size(); ++i)
    best = std::max(best, w[i] = log_odds_[i] + power * log_likelihood_[i]);
  for (double& x : w)
    sum += x = math::exp(x - best);
  for (double& x : w)
    x /= sum;
  return w;
}

/// Blades of one draw count together: they share its inputs. That of something else counts as many.
double WeighedFaults::effective(const std::vector<double>& w) const {
  double squares = 0, of_draw = 0, all = 0;
  for (std::size_t i = 0; i < blades_.size(); ++i) {
    of_draw += w[i];
    all += w[i];
    if (i + 1 == blades_.size() || blades_[i + 1].member != blades_[i].member ||
        blades_[i + 1].stratum != blades_[i].stratum) {
      squares += of_draw * of_draw;
      of_draw = 0;
    }
  }
  return squares > 0 ? all * all / squares : 0;
}

double WeighedFaults::effective_draws() const { return effective(weights(smoothing_)); }

double WeighedFaults::power_for(double draws) const {
  if (effective(weights(1)) >= draws)
    return 1;
  double low = 0, high = 1;
  constexpr int halvings = 30;
  for (int k = 0; k < halvings; ++k) {
    const double middle = 0.5 * (low + high);
    (effective(weights(middle)) >= draws ? low : high) = middle;
  }
  return low;
}

std::vector<double> WeighedFaults::strata_unevenness(double draws) const {
  const std::vector<double> w = weights(power_for(draws));
  std::vector<double> out(sample_.strata.size());
  for (std::size_t i = 0; i < blades_.size(); ++i)
    out[blades_[i].stratum] += w[i] * w[i];
  for (double& x : out)
    x = std::sqrt(x);
  return out;
}

double WeighedFaults::fit() const {
  double sum = 0, all = 0;
  for (const WeighedBlade& b : blades_) {
    sum += b.weight * b.fit;
    all += b.weight;
  }
  return all > 0 ? sum / all : 0;
}

} // namespace tq::answers
