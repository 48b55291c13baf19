// Does `explain` name what went wrong? Shops are invented: a fault is drawn as likely as `explain` takes it
// to be, its size and every uncertain input by chance, the blade is computed, and tester and file read it
// with their own error. Then the readings are explained without knowing any of that.
//   explain_trials [--trials N] [--members N] [--threads N]
// Prints how often the fault stands first and among the first three, whether the likelihoods are honest, and
// whether the band of the next blade holds what it will have; exit code 1 when the likelihoods are off by
// more than chance allows or the band holds less than 85 or more than 95 %.
#include "../support/file_records.hpp"
#include "../support/threaded_executor.hpp"
#include "answers/coarse_case.hpp"
#include "answers/explain.hpp"
#include "answers/sampling.hpp"
#include "treatment/case_reader.hpp"

#include <algorithm>
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

using Hardness = FaultSample::Draw;

Hardness computed(const treatment::Case& c) {
  Trial trial(coarse_case(c));
  const StationOutcome& s = trial.outcome().stations.front();
  Hardness h;
  for (std::size_t z = 0; z < treatment::zone_count; ++z) {
    h.quenched[z] = s.zones[z].as_quenched_HRC;
    h.tempered[z] = s.zones[z].tempered_HRC;
  }
  return h;
}

struct Count {
  long asked = 0, first = 0, among_three = 0;
};

struct Setting {
  const char* name;
  bool quenched, tempered, file;
};
/// What a maker may have read: the flat only, flat and edge with a file, and the same after the temper.
constexpr Setting settings[] = {{"spine as quenched", true, false, false},
                                {"spine as quenched and file", true, false, true},
                                {"spine as quenched and tempered, and file", true, true, true}};

} // namespace

int main(int argc, char** argv) {
  const auto trials = static_cast<std::size_t>(option(argc, argv, "--trials", 300));
  const auto members = static_cast<int>(option(argc, argv, "--members", usual_fault_members));
  test::ThreadedExecutor executor(static_cast<unsigned>(option(argc, argv, "--threads", 2)));
  const std::vector<std::string> stems = {"drop_point_o1", "petty_1084_vegetable", "slicer_52100_foil_on"};
  std::map<std::string, Count> by_fault[std::size(settings)];
  Count all[std::size(settings)], soft[std::size(settings)];
  double claimed[std::size(settings)] = {}, claimed_variance[std::size(settings)] = {};
  long inside = 0, bands = 0, inside_before = 0;
  double width = 0, width_before = 0;
  for (std::size_t k = 0; k < stems.size(); ++k) {
    const std::string path = TQ_SOURCE_DIR "/cases/" + stems[k] + ".toml";
    treatment::Case c = treatment::read_case(test::read_file(path).value(), stems[k],
                                             test::FileRecords(TQ_SOURCE_DIR "/cases"));
    const FaultSample sample = draw_faults(c, 0, executor, members);
    c = Trial(c).settings();
    const Hardness rough = computed(c);
    struct Truth {
      std::size_t fault = 0;
      double size = 0, fresh = 0, curve = 0;
      Hardness now, next;
    };
    const std::size_t here = trials / stems.size();
    std::vector<Truth> truths(here);
    executor.for_each_index(here, [&](std::size_t n) {
      std::mt19937_64 random(4242 + 100000 * k + n);
      Truth& t = truths[n];
      double u = chance(random);
      while (t.fault + 1 < sample.faults.size() && u > sample.faults[t.fault].weight)
        u -= sample.faults[t.fault++].weight;
      t.size = chance(random);
      std::vector<double> changes;
      for (const UncertainInput& input : sample.inputs) {
        changes.push_back(input.distribution.quantile(chance(random)));
        if (input.key == "fresh_hardness")
          t.fresh = changes.back();
        if (input.key == "temper_curve") {
          t.curve = changes.back();
          changes.back() = input.distribution.middle(); // added to the readings
        }
      }
      const treatment::Case real = perturbed(c, sample.inputs, changes.data());
      treatment::Case wrong = real;
      apply_fault(wrong, sample.faults[t.fault].key, t.size);
      t.now = computed(wrong);
      t.next = sample.faults[t.fault].stays ? t.now : computed(real);
      for (Hardness* h : {&t.now, &t.next})
        for (std::size_t z = 0; z < treatment::zone_count; ++z) {
          h->quenched[z] += sample.stated.quenched[z] - rough.quenched[z] + t.fresh;
          h->tempered[z] += sample.stated.tempered[z] - rough.tempered[z] + t.curve;
        }
    });
    std::mt19937_64 random(99 + k);
    for (const Truth& t : truths)
      for (std::size_t s = 0; s < std::size(settings); ++s) {
        const std::string& key = sample.faults[t.fault].key;
        Reading reading;
        const auto tester = [&] {
          return normal_quantile(chance(random)) * reading.tester_HRC / normal_half_90;
        };
        const auto error = [&](std::size_t zone, bool file) {
          return reading_error(sample, reading, key, t.size, zone, file);
        };
        constexpr std::size_t spine = treatment::zone_spine, edge = treatment::zone_edge;
        if (settings[s].quenched)
          reading.hardness.push_back({spine, t.now.quenched[spine] - error(spine, false) + tester(), false});
        if (settings[s].tempered)
          reading.hardness.push_back({spine, t.now.tempered[spine] - error(spine, false) + tester(), true});
        if (settings[s].file) {
          constexpr double hands_HRC = 2; // steel/reading.hpp: hands and files differ by two points
          reading.file = steel::file_feel(t.now.quenched[edge] - error(edge, true) +
                                          normal_quantile(chance(random)) * hands_HRC / normal_half_90);
        }
        const Explanation e = explain(c, sample, reading);
        const auto rank = std::find_if(e.causes.begin(), e.causes.end(),
                                       [&](const auto& cause) { return cause.fault == t.fault; });
        if (rank == e.causes.end())
          continue;              // these readings cannot feel it
        bool reads_soft = false; // a reading that makes a maker ask
        for (std::size_t r = 0; r < reading.hardness.size(); ++r)
          reads_soft = reads_soft || reading.hardness[r].hrc < e.expected[r].low;
        std::vector<Count*> counts = {&all[s], &by_fault[s][key]};
        if (reads_soft)
          counts.push_back(&soft[s]);
        for (Count* count : counts) {
          ++count->asked;
          count->first += rank == e.causes.begin() ? 1 : 0;
          count->among_three += rank - e.causes.begin() < 3 ? 1 : 0;
        }
        const double p = e.causes.front().probability;
        claimed[s] += p;
        claimed_variance[s] += p * (1 - p);
        const auto band = [&](const Forecast& f, const Forecast& before, double truth) {
          if (!std::isfinite(truth))
            return;
          ++bands;
          inside += truth >= f.low && truth <= f.high ? 1 : 0;
          inside_before += truth >= before.low && truth <= before.high ? 1 : 0;
          width += f.high - f.low;
          width_before += before.high - before.low;
        };
        band(e.quenched_after, e.quenched_before, t.next.quenched[spine]);
        band(e.tempered_after, e.tempered_before, t.next.tempered[spine]);
      }
  }
  bool good = true;
  for (std::size_t s = 0; s < std::size(settings); ++s) {
    const auto n = static_cast<double>(all[s].asked);
    std::printf("%s: %ld shops\n\n| what went wrong | shops | named first | among the first three "
                "|\n|---|---|---|---|\n",
                settings[s].name, all[s].asked);
    for (const auto& [key, count] : by_fault[s])
      std::printf("| %s | %ld | %.0f %% | %.0f %% |\n", key.c_str(), count.asked,
                  100.0 * static_cast<double>(count.first) / static_cast<double>(count.asked),
                  100.0 * static_cast<double>(count.among_three) / static_cast<double>(count.asked));
    const double off = (static_cast<double>(all[s].first) - claimed[s]) / std::sqrt(claimed_variance[s]);
    std::printf("| together | %ld | %.0f %%, %.0f %% claimed (%+.1f standard deviations) | %.0f %% |\n\n",
                all[s].asked, 100 * static_cast<double>(all[s].first) / n, 100 * claimed[s] / n, off,
                100 * static_cast<double>(all[s].among_three) / n);
    std::printf(
        "Of %ld that read below the band: %.0f %% first, %.0f %% among the first three.\n\n", soft[s].asked,
        100.0 * static_cast<double>(soft[s].first) / static_cast<double>(std::max(soft[s].asked, 1L)),
        100.0 * static_cast<double>(soft[s].among_three) / static_cast<double>(std::max(soft[s].asked, 1L)));
    constexpr double chance_allows = 3;
    good = good && std::abs(off) <= chance_allows;
  }
  const double share = static_cast<double>(inside) / static_cast<double>(bands);
  std::printf("next blade: %ld bands, %.1f %% hold it (%.1f %% of those before the reading); %.1f HRC wide, "
              "%.1f before\n",
              bands, 100 * share, 100 * static_cast<double>(inside_before) / static_cast<double>(bands),
              width / static_cast<double>(bands), width_before / static_cast<double>(bands));
  return good && share >= 0.85 && share <= 0.95 ? 0 : 1;
}
