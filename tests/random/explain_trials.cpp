// Does `explain` name what went wrong? Shops are invented: none, one or two faults are drawn as likely as
// materials/typical_faults.toml takes them to be, their sizes and every uncertain input by chance, the blade
// is computed, and tester and file read it with their own errors. Then the readings are explained without
// knowing any of that. A shop asks when something it read is below what was to be expected; only those are
// counted. The cause named first is right when it is one of those that are there (with two faults, one of the
// two; a quench that missed with nothing wrong is "at_limit"); faults that none of the readings can feel do
// not count as there.
//   explain_trials [--shops N] [--members N] [--threads N] [--oracle N] [--closely 1]
// --shops: that ask, for each way of reading, in all cases together. --oracle: explains once more with so
// many members, the reach of any judge who knows how the shops are drawn: the more draws, the nearer to the
// exact posterior. --closely: with further draws as the program makes them (seconds for each shop). Exit code
// 1 when what is claimed is off by more than five points and three standard deviations, when the band of the
// next blade holds less than 85 or more than 95 %, or when a forecast is harder after the temper than as
// quenched.
#include "../support/file_records.hpp"
#include "../support/threaded_executor.hpp"
#include "answers/explain.hpp"
#include "answers/sampling.hpp"
#include "answers/weighed_faults.hpp"
#include "records/read_faults.hpp"
#include "treatment/case_reader.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <map>
#include <random>
#include <string>
#include <vector>

using namespace tq;
using namespace tq::answers;

namespace {

/// Strictly between 0 and 1, the same on every machine.
double chance(std::mt19937_64& random) { return (static_cast<double>(random() >> 11) + 0.5) * 0x1p-53; }

long option(int argc, char** argv, const char* name, long otherwise) {
  for (int i = 1; i + 1 < argc; ++i)
    if (std::strcmp(argv[i], name) == 0)
      return std::atol(argv[i + 1]);
  return otherwise;
}

/// What a maker may have read.
struct Setting {
  const char* name;
  bool file, spine, edge, tempered;
};
constexpr Setting settings[] = {{"file alone", true, false, false, false},
                                {"file and spine as quenched", true, true, false, false},
                                {"spine and edge as quenched, file", true, true, true, false},
                                {"spine as quenched and tempered, file", true, true, false, true}};

/// A blade as it is.
struct Truth {
  std::vector<std::size_t> faults; ///< of the sample
  std::vector<double> sizes;       ///< along the range, by fault of the sample
  bool something_else = false;
  BladeHardness now, next;
};

/// None, one or two faults, with the product of their odds.
void draw_faults_of(Truth& t, const FaultSample& sample, std::mt19937_64& random) {
  std::vector<std::vector<std::size_t>> sets{{}};
  std::vector<double> weights{1};
  const std::size_t n = sample.faults.size();
  for (std::size_t f = 0; f < n; ++f) {
    sets.push_back({f});
    weights.push_back(sample.faults[f].odds);
    for (std::size_t g = f + 1; g < n; ++g)
      if (!exclude_each_other(sample.faults[f].entry.key, sample.faults[g].entry.key)) {
        sets.push_back({f, g});
        weights.push_back(sample.faults[f].odds * sample.faults[g].odds);
      }
  }
  sets.emplace_back();
  weights.push_back(sample.record.reading.something_else);
  double sum = 0;
  for (const double w : weights)
    sum += w;
  double u = chance(random) * sum;
  std::size_t k = 0;
  while (k + 1 < sets.size() && u > weights[k])
    u -= weights[k++];
  t.faults = sets[k];
  t.something_else = k + 1 == sets.size();
  for (std::size_t f = 0; f < n; ++f)
    t.sizes.push_back(chance(random));
}

Truth invented(const FaultSample& sample, std::uint64_t seed) {
  std::mt19937_64 random(seed);
  Truth t;
  draw_faults_of(t, sample, random);
  std::vector<double> changes;
  double fresh = 0, curve = 0;
  for (const UncertainInput& input : sample.inputs) {
    changes.push_back(input.distribution.quantile(chance(random)));
    if (input.key == "fresh_hardness")
      fresh = changes.back();
    if (input.key == "temper_curve") {
      curve = changes.back();
      changes.back() = input.distribution.middle(); // added to the hardness
    }
  }
  const treatment::Case real = perturbed(sample.stated, sample.inputs, changes.data());
  treatment::Case wrong = real, after = real;
  for (const std::size_t f : t.faults) {
    const FaultKind& kind = fault_kind(sample.faults[f].entry.key);
    kind.apply(wrong, sample.faults[f].entry.at(t.sizes[f]));
    if (kind.stays)
      kind.apply(after, sample.faults[f].entry.at(t.sizes[f]));
  }
  t.now = on_fine_grid(coarse_hardness(wrong), sample);
  t.next = on_fine_grid(coarse_hardness(after), sample);
  const double hardest = *std::max_element(sample.middle.quenched.begin(), sample.middle.quenched.end());
  for (std::size_t z = 0; z < treatment::zone_count; ++z) {
    // what the model does not know of a mixture is of the blade, so that file and tester feel the same
    const double mixture = normal_quantile(chance(random)) * reading_sd(sample.record.reading.mixture);
    for (BladeHardness* h : {&t.now, &t.next}) {
      const double turned = std::max(0.0, h->tempered[z] - h->quenched[z]),
                   off = mixture * std::max(0.0, hardest - h->quenched[z]);
      h->quenched[z] += fresh + off;
      h->tempered[z] = std::min(h->tempered[z] + curve + off, h->quenched[z] + turned);
    }
  }
  return t;
}

Reading read(const FaultSample& sample, const Truth& t, const Setting& setting, std::mt19937_64& random) {
  const records::ReadingErrorRecord& errors = sample.record.reading;
  const auto low = [&](std::size_t zone, bool by_file) {
    double sum = 0;
    for (const std::size_t f : t.faults)
      sum += reading_fault_HRC(sample.faults[f].entry, t.sizes[f], by_file, false, sample.tester_valid[zone]);
    return sum;
  };
  Reading r;
  const auto test = [&](std::size_t zone, bool tempered) {
    const double sd = hardness_reading_sd(errors, errors.tester_HRC, sample.tester_valid[zone], 0);
    constexpr double least = 20, span = 50; // what something else may read
    r.hardness.push_back({zone,
                          t.something_else ? least + span * chance(random)
                                           : (tempered ? t.now.tempered : t.now.quenched)[zone] -
                                                 low(zone, false) + sd * normal_quantile(chance(random)),
                          tempered});
  };
  if (setting.spine)
    test(treatment::zone_spine, false);
  if (setting.edge)
    test(treatment::zone_edge, false);
  if (setting.tempered)
    test(treatment::zone_spine, true);
  if (setting.file) {
    const double hrc = t.now.quenched[treatment::zone_edge] - low(treatment::zone_edge, true) +
                       file_reading_sd(errors, 0) * normal_quantile(chance(random));
    const auto any = static_cast<steel::FileFeel>(static_cast<int>(3 * chance(random)));
    r.files.push_back({treatment::zone_edge, t.something_else ? any : steel::file_feel(hrc), false});
  }
  return r;
}

bool asks(const FaultSample& sample, const Reading& r, const Explanation& e) {
  for (std::size_t i = 0; i < r.hardness.size(); ++i)
    if (r.hardness[i].hrc < e.expected[i].low)
      return true;
  return std::any_of(r.files.begin(), r.files.end(), [&](const FileReading& f) {
    return f.feel > steel::file_feel(sample.middle.quenched[f.zone]);
  });
}

/// Right and claimed, of the causes or of what happened.
struct Count {
  long asked = 0, first = 0, among_two = 0, faulty = 0, faulty_first = 0, faulty_two = 0;
  double claimed = 0, claimed_two = 0, variance = 0;

  template <class Named>
  void add(const std::vector<Named>& named, const std::vector<std::string>& there, bool faulty_shop) {
    const auto right = [&](std::size_t i) {
      return i < named.size() && std::find(there.begin(), there.end(), named[i].key) != there.end();
    };
    const long hit = right(0) ? 1 : 0, two = hit > 0 || right(1) ? 1 : 0;
    ++asked;
    first += hit;
    among_two += two;
    if (faulty_shop) {
      ++faulty;
      faulty_first += hit;
      faulty_two += two;
    }
    const double p = std::min(1.0, named.front().share);
    claimed += p;
    claimed_two += p + (named.size() > 1 ? named[1].share : 0);
    variance += p * (1 - p);
  }
  void add(const Count& other) {
    asked += other.asked;
    first += other.first;
    among_two += other.among_two;
    faulty += other.faulty;
    faulty_first += other.faulty_first;
    faulty_two += other.faulty_two;
    claimed += other.claimed;
    claimed_two += other.claimed_two;
    variance += other.variance;
  }
  bool honest() const {
    const double off = static_cast<double>(first) - claimed;
    constexpr double points = 0.05, chance_allows = 3;
    return std::abs(off) <= points * static_cast<double>(asked) ||
           std::abs(off) <= chance_allows * std::sqrt(variance);
  }
  void print(const char* what) const {
    const auto n = static_cast<double>(std::max(asked, 1L)), m = static_cast<double>(std::max(faulty, 1L));
    std::printf("| %s | %ld | %.1f %% | %.1f %% | %.1f %% | %.1f %% | %ld | %.1f %% | %.1f %% |\n", what,
                asked, 100 * static_cast<double>(first) / n, 100 * claimed / n,
                100 * static_cast<double>(among_two) / n, 100 * claimed_two / n, faulty,
                100 * static_cast<double>(faulty_first) / m, 100 * static_cast<double>(faulty_two) / m);
  }
};

/// Keys of what is there, of those that the readings can feel.
void what_is_there(const FaultSample& sample, const Truth& t, const Explanation& e,
                   std::vector<std::string>& causes, std::vector<std::string>& groups) {
  if (t.something_else) {
    causes = groups = {"something_else"};
    return;
  }
  for (const std::size_t f : t.faults) {
    const records::FaultEntry& entry = sample.faults[f].entry;
    if (std::any_of(e.causes.begin(), e.causes.end(), [&](const auto& c) { return c.key == entry.key; })) {
      causes.push_back(entry.key);
      groups.push_back(entry.group);
    }
  }
  if (causes.empty()) {
    causes = {t.now.missed ? "at_limit" : "none"};
    groups = {t.now.missed ? "quench" : "none"};
  }
}

struct Bands {
  long all = 0, inside = 0, before = 0, harder = 0;
  double width = 0, width_before = 0;

  void add(const Forecast& f, const Forecast& was, double truth) {
    if (!std::isfinite(truth))
      return;
    ++all;
    inside += truth >= f.low && truth <= f.high ? 1 : 0;
    before += truth >= was.low && truth <= was.high ? 1 : 0;
    width += f.high - f.low;
    width_before += was.high - was.low;
  }
};

struct Tally {
  std::array<Count, std::size(settings)> causes, groups, oracle_causes, oracle_groups;
  std::map<std::string, Count> by_cause;
  Bands bands;
  double effective = 0;
  long smoothed = 0, explained = 0, all = 0;
};

/// A cause or what happened, with the share of the weight in which it is there.
struct Named {
  std::string key;
  double share;
};

/// The two that a judge names who knows all that the draws tell: the likeliest, and the likeliest of the rest
/// where that is not there. No other pair holds a true one more often.
std::vector<Named> best_two(const FaultSample& sample, const WeighedFaults& weighed, bool causes) {
  std::vector<std::pair<std::vector<std::string>, double>> there; // what is there of each blade
  std::map<std::string, double> share;
  for (const WeighedBlade& b : weighed.blades()) {
    std::vector<std::string> keys;
    for (const std::size_t f : b.felt)
      keys.push_back(causes ? sample.faults[f].entry.key : sample.faults[f].entry.group);
    if (keys.empty())
      keys = {weighed.missed(b) ? (causes ? "at_limit" : "quench") : "none"};
    std::sort(keys.begin(), keys.end());
    keys.erase(std::unique(keys.begin(), keys.end()), keys.end());
    for (const std::string& key : keys)
      share[key] += b.weight;
    there.emplace_back(std::move(keys), b.weight);
  }
  share["something_else"] += weighed.something_else();
  const auto greatest = [](const std::map<std::string, double>& of) {
    return *std::max_element(of.begin(), of.end(),
                             [](const auto& a, const auto& b) { return a.second < b.second; });
  };
  const auto first = greatest(share);
  std::map<std::string, double> rest{{"something_else", weighed.something_else()}};
  for (const auto& [keys, weight] : there)
    if (std::find(keys.begin(), keys.end(), first.first) == keys.end())
      for (const std::string& key : keys)
        rest[key] += weight;
  rest.erase(first.first);
  const auto second = greatest(rest);
  return {{first.first, first.second}, {second.first, second.second}};
}

struct Judges {
  FaultSample* sample;
  FaultSample* oracle; ///< or none
  bool closely;
  Executor* executor;
};

/// One way of reading of one shop; false when it does not ask.
bool judge(const Judges& by, const Truth& t, std::size_t s, std::mt19937_64& random, Tally& tally) {
  const Reading reading = read(*by.sample, t, settings[s], random);
  Explanation e = explain(*by.sample, reading);
  if (!asks(*by.sample, reading, e))
    return false;
  if (by.closely) {
    FaultSample own = *by.sample;
    e = explain_closely(own, reading, *by.executor);
  }
  std::vector<std::string> causes, groups;
  what_is_there(*by.sample, t, e, causes, groups);
  const bool faulty = !t.something_else && causes.front() != "none" && causes.front() != "at_limit";
  tally.causes[s].add(e.causes, causes, faulty);
  tally.groups[s].add(e.groups, groups, faulty);
  for (const std::string& key : causes)
    tally.by_cause[key].add(e.causes, {key}, faulty);
  if (by.oracle != nullptr) {
    const WeighedFaults o(*by.oracle, reading);
    tally.oracle_causes[s].add(best_two(*by.oracle, o, true), causes, faulty);
    tally.oracle_groups[s].add(best_two(*by.oracle, o, false), groups, faulty);
  }
  ++tally.all;
  tally.effective += e.effective_draws;
  tally.smoothed += e.smoothing < 1 ? 1 : 0;
  tally.explained += e.explained ? 1 : 0;
  if (!t.something_else) {
    constexpr std::size_t spine = treatment::zone_spine;
    const std::size_t z = e.next_zone == spine ? spine : std::size_t{treatment::zone_edge};
    tally.bands.add(e.quenched_after, e.quenched_before, t.next.quenched[z]);
    tally.bands.add(e.tempered_after, e.tempered_before, t.next.tempered[z]);
  }
  constexpr double rounding = 1e-9;
  tally.bands.harder += e.tempered_after.middle > e.quenched_after.middle + rounding ||
                                e.tempered_after.high > e.quenched_after.high + rounding
                            ? 1
                            : 0;
  return true;
}

bool report(const Tally& t, bool with_oracle) {
  bool good = true;
  std::printf(
      "| readings | shops that ask | first right | claimed | among two | claimed at most | of them with "
      "a fault | first right | among two |\n|---|---|---|---|---|---|---|---|---|\n");
  for (std::size_t s = 0; s < std::size(settings); ++s) {
    const std::string name = settings[s].name;
    t.causes[s].print((name + ": cause").c_str());
    t.groups[s].print((name + ": what happened").c_str());
    if (with_oracle) {
      t.oracle_causes[s].print((name + ": cause, oracle").c_str());
      t.oracle_groups[s].print((name + ": what happened, oracle").c_str());
    }
    good = good && t.causes[s].honest() && t.groups[s].honest();
  }
  const auto together = [](const char* name, const auto& counts) {
    Count all;
    for (const Count& one : counts)
      all.add(one);
    all.print(name);
  };
  together("together: cause", t.causes);
  together("together: what happened", t.groups);
  if (with_oracle) {
    together("together: cause, oracle", t.oracle_causes);
    together("together: what happened, oracle", t.oracle_groups);
  }
  std::printf("\n| cause that is there | shops | named first | among two |\n|---|---|---|---|\n");
  for (const auto& [key, c] : t.by_cause)
    std::printf("| %s | %ld | %.0f %% | %.0f %% |\n", key.c_str(), c.asked,
                100.0 * static_cast<double>(c.first) / static_cast<double>(c.asked),
                100.0 * static_cast<double>(c.among_two) / static_cast<double>(c.asked));
  const auto n = static_cast<double>(std::max(t.all, 1L)),
             bands = static_cast<double>(std::max(t.bands.all, 1L));
  const double share = static_cast<double>(t.bands.inside) / bands;
  std::printf("\n%.0f draws worth, %.1f %% smoothed, %.1f %% explained\n", t.effective / n,
              100 * static_cast<double>(t.smoothed) / n, 100 * static_cast<double>(t.explained) / n);
  std::printf(
      "next blade: %ld bands, %.1f %% hold it (%.1f %% of those before the reading); %.1f HRC wide, %.1f "
      "before; %ld forecasts harder after the temper\n",
      t.bands.all, 100 * share, 100 * static_cast<double>(t.bands.before) / bands, t.bands.width / bands,
      t.bands.width_before / bands, t.bands.harder);
  constexpr double least = 0.85, most = 0.95;
  return good && t.bands.harder == 0 && share >= least && share <= most;
}

} // namespace

int main(int argc, char** argv) {
  const auto shops = static_cast<std::size_t>(option(argc, argv, "--shops", 600));
  const auto members = static_cast<int>(option(argc, argv, "--members", usual_fault_members));
  const auto oracle = static_cast<int>(option(argc, argv, "--oracle", 0));
  test::ThreadedExecutor executor(static_cast<unsigned>(option(argc, argv, "--threads", 2)));
  const std::vector<std::string> stems = {"drop_point_o1", "petty_1084_vegetable", "slicer_52100_foil_on"};
  const records::FaultRecord record = records::read_faults(
      test::read_file(TQ_SOURCE_DIR "/materials/typical_faults.toml").value(), "typical_faults.toml");
  Tally tally;
  for (std::size_t k = 0; k < stems.size(); ++k) {
    const std::string path = TQ_SOURCE_DIR "/cases/" + stems[k] + ".toml";
    const treatment::Case c = treatment::read_case(test::read_file(path).value(), stems[k],
                                                   test::FileRecords(TQ_SOURCE_DIR "/cases"));
    FaultSample sample = draw_faults(c, 0, record, executor, members), many;
    if (oracle > 0)
      many = draw_faults(c, 0, record, executor, oracle, 77);
    const Judges judges{&sample, oracle > 0 ? &many : nullptr, option(argc, argv, "--closely", 0) != 0,
                        &executor};
    std::array<std::size_t, std::size(settings)> asked{};
    std::mt19937_64 random(99 + k);
    const std::size_t here = shops / stems.size();
    constexpr std::size_t at_once = 64;
    for (std::size_t from = 0; *std::min_element(asked.begin(), asked.end()) < here; from += at_once) {
      std::vector<Truth> truths(at_once);
      executor.for_each_index(
          at_once, [&](std::size_t n) { truths[n] = invented(sample, 4242 + 1000000 * k + from + n); });
      for (const Truth& t : truths)
        for (std::size_t s = 0; s < std::size(settings); ++s)
          if (asked[s] < here && t.now.sound && t.next.sound && judge(judges, t, s, random, tally))
            ++asked[s];
    }
  }
  return report(tally, oracle > 0) ? 0 : 1;
}
