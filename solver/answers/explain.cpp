#include "answers/explain.hpp"

#include "answers/parting_tests.hpp"
#include "answers/weighed_faults.hpp"
#include "records/document.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>

namespace tq::answers {

using records::InputError;

namespace {

void check(const FaultSample& sample, const Reading& reading) {
  if (reading.hardness.empty() && reading.files.empty())
    throw InputError("explain: no reading is given");
  for (const HardnessReading& r : reading.hardness) {
    if (r.hrc < 0 || r.hrc > 70)
      throw InputError("explain: a reading of " + std::to_string(r.hrc) + " HRC; allowed: 0 to 70");
    if (r.tempered && !std::isfinite(sample.middle.tempered[r.zone]))
      throw InputError("explain: the case has no temper, so nothing was read after it");
  }
}

/// Values that stand for a standard normal distribution: middles of parts of equal mass, spread to
/// variance 1.
std::vector<double> normal_nodes() {
  constexpr int count = 9;
  std::vector<double> out;
  double squares = 0;
  for (int k = 0; k < count; ++k) {
    out.push_back(normal_quantile((k + 0.5) / count));
    squares += out.back() * out.back();
  }
  for (double& z : out)
    z /= std::sqrt(squares / count);
  return out;
}

struct Weighted {
  double hrc, weight;
};

Forecast forecast_of(std::vector<Weighted> all) {
  if (all.empty())
    return {};
  std::sort(all.begin(), all.end(), [](const Weighted& a, const Weighted& b) { return a.hrc < b.hrc; });
  const double sum =
      std::accumulate(all.begin(), all.end(), 0.0, [](double s, const Weighted& w) { return s + w.weight; });
  const auto quantile = [&](double q) {
    double below = 0;
    for (const Weighted& w : all)
      if ((below += w.weight) >= q * sum)
        return w.hrc;
    return all.back().hrc;
  };
  return {quantile(0.5), quantile(0.05), quantile(0.95)};
}

/// Tells what the weighed draws say.
class Telling {
 public:
  Telling(const FaultSample& sample, const WeighedFaults& weighed) : sample_(sample), weighed_(weighed) {}

  std::vector<Explanation::Group> groups() const;
  std::vector<Explanation::Cause> causes() const;
  std::vector<Explanation::Shift> shifts() const;
  /// Before: nothing known, as the case says; after: what stays of each draw, the rest as it should be.
  Forecast forecast(bool tempered, std::size_t zone, bool after, double more_sd) const;

 private:
  void add(std::vector<Weighted>& to, const BladeHardness& h, bool tempered, std::size_t zone, double weight,
           std::pair<double, double> fresh, std::pair<double, double> curve) const;

  const FaultSample& sample_;
  const WeighedFaults& weighed_;
};

std::vector<Explanation::Cause> Telling::causes() const {
  const std::size_t n = sample_.faults.size();
  std::vector<double> share(n), alone(n);
  std::vector<std::vector<double>> together(n, std::vector<double>(n));
  double none = 0, at_limit = 0;
  for (const WeighedBlade& b : weighed_.blades()) {
    if (b.felt.empty())
      (weighed_.missed(b) ? at_limit : none) += b.weight;
    for (const std::size_t f : b.felt) {
      share[f] += b.weight;
      if (b.felt.size() == 1)
        alone[f] += b.weight;
      for (const std::size_t g : b.felt)
        if (g != f)
          together[f][g] += b.weight;
    }
  }
  std::vector<Explanation::Cause> out;
  for (std::size_t f = 0; f < n; ++f) {
    if (!weighed_.felt(f))
      continue;
    const Fault& fault = sample_.faults[f];
    Explanation::Cause cause{
        fault.entry.key, fault.entry.name, fault.entry.remedy, fault.stays, share[f], alone[f], "", 0, {}};
    const auto most = std::max_element(together[f].begin(), together[f].end());
    constexpr double worth_telling = 0.1; // of the cause's own share
    if (*most > worth_telling * share[f]) {
      cause.with = sample_.faults[static_cast<std::size_t>(most - together[f].begin())].entry.key;
      cause.with_share = *most;
    }
    out.push_back(std::move(cause));
  }
  out.push_back({"none",
                 "nothing beyond what the case doubts",
                 "nothing to cure; see what the next blade will have",
                 true,
                 none,
                 none,
                 "",
                 0,
                 {}});
  const records::ReadingErrorRecord& words = sample_.record.reading;
  out.push_back({"at_limit", words.at_limit, words.at_limit_remedy, true, at_limit, at_limit, "", 0, {}});
  const double other = weighed_.something_else();
  out.push_back({"something_else",
                 "something that is not on this list, or a mistaken reading",
                 sample_.record.reading.something_else_remedy,
                 false,
                 other,
                 other,
                 "",
                 0,
                 {}});
  std::stable_sort(out.begin(), out.end(), [](const auto& x, const auto& y) { return x.share > y.share; });
  return out;
}

std::vector<Explanation::Group> Telling::groups() const {
  std::vector<Explanation::Group> out;
  for (const records::FaultGroup& group : sample_.record.groups) {
    double share = 0;
    for (const WeighedBlade& b : weighed_.blades()) {
      const bool there = b.felt.empty() ? group.key == "quench" && weighed_.missed(b)
                                        : std::any_of(b.felt.begin(), b.felt.end(), [&](std::size_t f) {
                                            return sample_.faults[f].entry.group == group.key;
                                          });
      share += there ? b.weight : 0;
    }
    out.push_back({group.key, group.name, share});
  }
  const std::vector<Explanation::Cause> all = causes();
  for (const Explanation::Cause& cause : all)
    if (cause.key == "none" || cause.key == "something_else")
      out.push_back({cause.key, cause.name, cause.share});
  std::stable_sort(out.begin(), out.end(), [](const auto& x, const auto& y) { return x.share > y.share; });
  return out;
}

std::vector<Explanation::Shift> Telling::shifts() const {
  // a middle moves by chance where few draws carry the weight: twice that is told at least
  const double by_chance = 2 / std::sqrt(std::max(weighed_.effective_draws(), 1.0)) / normal_half_90;
  std::vector<Explanation::Shift> out;
  const std::size_t d = sample_.inputs.size();
  for (std::size_t i = 0; i < d; ++i) {
    const bool fresh = sample_.inputs[i].key == "fresh_hardness",
               curve = sample_.inputs[i].key == "temper_curve";
    double moved = 0;
    for (const WeighedBlade& b : weighed_.blades())
      moved += b.weight * (fresh   ? b.fresh / sample_.fresh_sd_HRC
                           : curve ? b.curve / sample_.curve_sd_HRC
                                   : sample_.scores[b.member * d + i]);
    constexpr double worth_telling = 0.25; // of the half-width
    if (std::abs(moved) / normal_half_90 >= std::max(worth_telling, fresh || curve ? 0 : by_chance))
      out.push_back({sample_.inputs[i].name, moved / normal_half_90});
  }
  std::stable_sort(out.begin(), out.end(),
                   [](const auto& x, const auto& y) { return std::abs(x.moved) > std::abs(y.moved); });
  return out;
}

/// One blade with the two common doubts (middle and sd of each) laid on it. No temper hardens beyond what its
/// austenite turns to, whatever the doubts say of the two formulas: that holds blade by blade.
void Telling::add(std::vector<Weighted>& to, const BladeHardness& h, bool tempered, std::size_t zone,
                  double weight, std::pair<double, double> fresh, std::pair<double, double> curve) const {
  static const std::vector<double> nodes = normal_nodes();
  const double turned = std::max(0.0, h.tempered[zone] - h.quenched[zone]);
  const double part = weight / static_cast<double>(nodes.size() * nodes.size());
  for (const double a : nodes) {
    const double quenched = h.quenched[zone] + fresh.first + a * fresh.second;
    if (!tempered) {
      to.push_back({quenched, part * static_cast<double>(nodes.size())});
      continue;
    }
    for (const double b : nodes)
      to.push_back({std::min(h.tempered[zone] + curve.first + b * curve.second, quenched + turned), part});
  }
}

Forecast Telling::forecast(bool tempered, std::size_t zone, bool after, double more_sd) const {
  std::vector<Weighted> all;
  const auto sd = [&](double variance) { return std::sqrt(variance + more_sd * more_sd); };
  constexpr double least_weight = 1e-6;
  if (!after) {
    const std::vector<double> drawn = sample_.weights_of_draws(0);
    for (std::size_t m = 0; m < sample_.members; ++m)
      if (const BladeHardness& h = sample_.draws.front()[m];
          drawn[m] > 0 && std::isfinite((tempered ? h.tempered : h.quenched)[zone]))
        add(all, h, tempered, zone, drawn[m], {0, sd(sample_.fresh_sd_HRC * sample_.fresh_sd_HRC)},
            {0, sd(sample_.curve_sd_HRC * sample_.curve_sd_HRC)});
    return forecast_of(std::move(all));
  }
  for (const WeighedBlade& b : weighed_.blades()) {
    const BladeHardness& h = sample_.draws[sample_.strata[b.stratum].next][b.member];
    if (b.weight > least_weight && h.sound && std::isfinite((tempered ? h.tempered : h.quenched)[zone]))
      add(all, h, tempered, zone, b.weight, {b.fresh, sd(b.fresh_variance)}, {b.curve, sd(b.curve_variance)});
  }
  return forecast_of(std::move(all));
}

/// Oven that brings the middle of what the next blade will have to the middle of the wish.
std::optional<double> other_oven(const FaultSample& sample, const Forecast& tempered) {
  const treatment::Case& c = sample.stated;
  const double slope = sample.oven_slope_HRC_per_K;
  const treatment::HardnessWish wish = c.hardness_wish(0);
  if (!wish.stated() || !std::isfinite(tempered.middle) || !(slope < 0))
    return {};
  constexpr double rung_K = 5, farthest_K = 60;
  const double wanted = 0.5 * (wish.from + wish.to);
  const double change = (wanted - tempered.middle) / slope;
  if (std::abs(change) > farthest_K)
    return {};
  return rung_K * std::floor((c.oven().oven_degC + change) / rung_K + 1e-9);
}

void tell_tests(Explanation& out, const PartingTests& tests) {
  constexpr double worth_telling = 0.02;
  out.next = tests.next();
  for (std::size_t i = 0; i < out.causes.size() && out.causes[i].share >= worth_telling; ++i) {
    const bool last = i + 1 == out.causes.size() || out.causes[i + 1].share < worth_telling;
    const std::size_t other = !last ? i + 1 : i > 0 ? 0 : 1;
    if (other < out.causes.size())
      out.causes[i].parting = tests.between(out.causes[i].key, out.causes[other].key);
  }
}

} // namespace

Explanation explain(const FaultSample& sample, const Reading& reading) {
  check(sample, reading);
  const WeighedFaults weighed(sample, reading);
  const Telling telling(sample, weighed);
  Explanation out;
  out.causes = telling.causes();
  out.groups = telling.groups();
  out.fit = weighed.fit();
  out.explained = out.fit >= least_fit && out.groups.front().key != "something_else";
  out.effective_draws = weighed.effective_draws();
  for (const auto& of_stratum : sample.draws)
    out.draws += static_cast<std::size_t>(
        std::count_if(of_stratum.begin(), of_stratum.end(), [](const BladeHardness& h) { return h.sound; }));
  out.smoothing = weighed.smoothing();
  tell_tests(out, PartingTests(sample, reading, weighed));
  out.shifts = telling.shifts();
  for (const HardnessReading& r : reading.hardness)
    out.expected.push_back(
        telling.forecast(r.tempered, r.zone, false, weighed.tester_sd(sample.middle, r.zone)));
  out.next_zone =
      reading.hardness.empty() ? std::size_t{treatment::zone_edge} : reading.hardness.front().zone;
  out.quenched_before = telling.forecast(false, out.next_zone, false, 0);
  out.quenched_after = telling.forecast(false, out.next_zone, true, 0);
  out.tempered_before = telling.forecast(true, out.next_zone, false, 0);
  out.tempered_after = telling.forecast(true, out.next_zone, true, 0);
  out.oven_degC = other_oven(sample, out.tempered_after);
  return out;
}

Explanation explain_closely(FaultSample& sample, const Reading& reading, Executor& executor,
                            const ShareDone& go_on) {
  check(sample, reading);
  constexpr int most_rounds = 8;
  constexpr double enough = 60;           // effective draws
  constexpr std::size_t of_a_round = 160; // draws
  constexpr double worth_drawing = 0.002; // of the weight
  for (int round = 0; round < most_rounds; ++round) {
    const WeighedFaults weighed(sample, reading);
    if (weighed.smoothing() == 1 && weighed.effective_draws() >= enough)
      break;
    // where the weight is uneven (Neyman 1934, J. R. Stat. Soc. 97, 558), as a smoother likelihood shows it
    std::vector<double> shares = weighed.strata_unevenness(enough);
    const double most = *std::max_element(shares.begin(), shares.end());
    double sum = 0;
    for (double& s : shares)
      sum += s = s > worth_drawing * most ? s : 0;
    std::vector<std::size_t> wanted(shares.size());
    for (std::size_t k = 0; k < shares.size(); ++k)
      wanted[k] = static_cast<std::size_t>(std::lround(of_a_round * shares[k] / sum));
    if (std::all_of(wanted.begin(), wanted.end(), [](std::size_t n) { return n == 0; }))
      break;
    draw_more(sample, wanted, executor,
              [&](double done) { return !go_on || go_on((round + done) / most_rounds); });
  }
  return explain(sample, reading);
}

} // namespace tq::answers
