#include "answers/parting_tests.hpp"

#include "answers/sampling.hpp"
#include "units/math.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

namespace tq::answers {
namespace {

constexpr double well_enough = 0.8;    ///< named rightly of two causes
constexpr double worth_while = 0.01;   ///< by which naming must get likelier, per effort
constexpr double worth_telling = 0.05; ///< the same for a test that parts two causes
constexpr double half = 0.5;           ///< middle of the range of a fault of the reading

} // namespace

PartingTests::PartingTests(const FaultSample& sample, const Reading& reading, const WeighedFaults& weighed)
    : sample_(sample), reading_(reading), weighed_(weighed) {
  constexpr double worth_counting = 1e-6;
  for (std::size_t i = 0; i < weighed.blades().size(); ++i)
    if (weighed.blades()[i].weight > worth_counting)
      heavy_.push_back(i);
  for (const records::FaultTest& test : sample.record.tests)
    foretold_.push_back(outcomes(test));
}

double PartingTests::weight(std::size_t item) const {
  return item + 1 < items() ? blade(item).weight : weighed_.something_else();
}

bool PartingTests::has(std::size_t item, const std::string& cause) const {
  if (item + 1 == items())
    return cause == "something_else";
  const std::vector<std::size_t>& felt = blade(item).felt;
  if (felt.empty())
    return cause == (weighed_.missed(blade(item)) ? "at_limit" : "none");
  return std::any_of(felt.begin(), felt.end(),
                     [&](std::size_t f) { return sample_.faults[f].entry.key == cause; });
}

PartingTests::Outcomes PartingTests::outcomes(const records::FaultTest& test) const {
  using Reads = records::FaultTest::Reads;
  const auto file_read = [&](std::size_t zone, bool ground) {
    return std::any_of(reading_.files.begin(), reading_.files.end(), [&](const FileReading& f) {
      return f.ground == ground && (ground || f.zone == zone);
    });
  };
  constexpr std::size_t edge = treatment::zone_edge, spine = treatment::zone_spine,
                        thickest = treatment::zone_thickest;
  switch (test.reads) {
  case Reads::nothing:
    return of_finding(test);
  case Reads::file_ground:
    return reading_.ground || file_read(edge, true) ? Outcomes{} : of_file(edge, true);
  case Reads::file_spine:
    return file_read(spine, false) ? Outcomes{} : of_file(spine, reading_.ground);
  case Reads::tester_thickest: {
    const bool read = std::any_of(reading_.hardness.begin(), reading_.hardness.end(),
                                  [&](const HardnessReading& r) { return r.zone == thickest; });
    return read || !sample_.tester_valid[thickest] ? Outcomes{} : of_tester(thickest);
  }
  }
  return {};
}

PartingTests::Outcomes PartingTests::of_finding(const records::FaultTest& test) const {
  const bool possible = std::any_of(test.finds.begin(), test.finds.end(), [&](const std::string& key) {
    return key == "something_else" || key == "at_limit" || sample_.fault_index(key) < sample_.faults.size();
  });
  if (!possible)
    return {};
  Outcomes out;
  for (std::size_t i = 0; i < items(); ++i) {
    const bool there = std::any_of(test.finds.begin(), test.finds.end(),
                                   [&](const std::string& key) { return has(i, key); });
    const double yes = there ? test.sure : 1 - test.sure;
    out.push_back({yes, 1 - yes});
  }
  return out;
}

PartingTests::Outcomes PartingTests::of_file(std::size_t zone, bool ground) const {
  Outcomes out;
  const std::size_t skin = sample_.fault_index("soft_skin");
  for (const std::size_t i : heavy_) {
    const WeighedBlade& b = weighed_.blades()[i];
    const BladeHardness& h = sample_.draws[b.stratum][b.member];
    double hrc = h.quenched[zone] + b.fresh;
    if (b.reading_faults & soft_skin_bit)
      hrc -= reading_fault_HRC(sample_.faults[skin].entry, half, true, ground, true);
    const auto p = file_chances(hrc, math::hypot(weighed_.file_sd(h, zone), std::sqrt(b.fresh_variance)));
    out.emplace_back(p.begin(), p.end());
  }
  out.emplace_back(3, 1.0 / 3);
  return out;
}

/// In bins as wide as a tester is uncertain.
PartingTests::Outcomes PartingTests::of_tester(std::size_t zone) const {
  constexpr double from_HRC = 20, to_HRC = 70, bin_HRC = 2;
  constexpr auto bins = static_cast<std::size_t>((to_HRC - from_HRC) / bin_HRC);
  const std::size_t skin = sample_.fault_index("soft_skin");
  Outcomes out;
  for (const std::size_t i : heavy_) {
    const WeighedBlade& b = weighed_.blades()[i];
    const BladeHardness& h = sample_.draws[b.stratum][b.member];
    double hrc = h.quenched[zone] + b.fresh;
    if (b.reading_faults & soft_skin_bit)
      hrc -= reading_fault_HRC(sample_.faults[skin].entry, half, false, reading_.ground, true);
    const double sd = math::hypot(weighed_.tester_sd(h, zone), std::sqrt(b.fresh_variance));
    std::vector<double> p(bins);
    double below = 0;
    for (std::size_t k = 0; k < bins; ++k) {
      const double up_to =
          k + 1 == bins ? 1
                        : normal_share_below((from_HRC + bin_HRC * static_cast<double>(k + 1) - hrc) / sd);
      p[k] = up_to - below;
      below = up_to;
    }
    out.push_back(std::move(p));
  }
  out.emplace_back(bins, 1.0 / static_cast<double>(bins));
  return out;
}

std::optional<Explanation::Parting> PartingTests::between(const std::string& a, const std::string& b) const {
  std::array<double, 2> whole{};
  std::vector<int> side(items(), -1);
  for (std::size_t i = 0; i < items(); ++i) {
    const bool is_a = has(i, a), is_b = has(i, b);
    if (is_a != is_b)
      whole[side[i] = is_a ? 0 : 1] += weight(i);
  }
  const double sum = whole[0] + whole[1];
  if (!(sum > 0))
    return {};
  std::optional<Explanation::Parting> best;
  int best_effort = 0;
  for (std::size_t t = 0; t < foretold_.size(); ++t) {
    if (foretold_[t].empty())
      continue;
    double with = 0;
    for (std::size_t o = 0; o < foretold_[t].front().size(); ++o) {
      std::array<double, 2> of{};
      for (std::size_t i = 0; i < items(); ++i)
        if (side[i] >= 0)
          of[static_cast<std::size_t>(side[i])] += weight(i) * foretold_[t][i][o];
      with += std::max(of[0], of[1]) / sum;
    }
    const Explanation::Parting now{t, std::max(whole[0], whole[1]) / sum, with};
    if (with - now.without < worth_telling)
      continue;
    const int effort = sample_.record.tests[t].effort;
    const bool well = with >= well_enough, best_well = best && best->with >= well_enough;
    if (!best || (well && (!best_well || effort < best_effort)) ||
        (well == best_well && (!well || effort == best_effort) && with > best->with)) {
      best = now;
      best_effort = effort;
    }
  }
  return best;
}

std::optional<Explanation::Parting> PartingTests::next() const {
  std::vector<std::string> causes{"none", "at_limit", "something_else"};
  for (const Fault& f : sample_.faults)
    causes.push_back(f.entry.key);
  std::vector<std::vector<std::size_t>> with_cause(causes.size());
  for (std::size_t c = 0; c < causes.size(); ++c)
    for (std::size_t i = 0; i < items(); ++i)
      if (weight(i) > 0 && has(i, causes[c]))
        with_cause[c].push_back(i);
  const auto most = [&](auto&& weight_of) {
    double greatest = 0;
    for (const auto& some : with_cause) {
      double sum = 0;
      for (const std::size_t i : some)
        sum += weight_of(i);
      greatest = std::max(greatest, sum);
    }
    return greatest;
  };
  const double without = most([&](std::size_t i) { return weight(i); });
  std::optional<Explanation::Parting> best;
  double best_gain = worth_while;
  for (std::size_t t = 0; t < foretold_.size(); ++t) {
    if (foretold_[t].empty())
      continue;
    double with = 0;
    for (std::size_t o = 0; o < foretold_[t].front().size(); ++o)
      with += most([&](std::size_t i) { return weight(i) * foretold_[t][i][o]; });
    const double gain = (with - without) / sample_.record.tests[t].effort;
    if (gain > best_gain) {
      best_gain = gain;
      best = Explanation::Parting{t, without, with};
    }
  }
  return best;
}

} // namespace tq::answers
