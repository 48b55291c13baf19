// Valid cases with changes that leave them valid, through the whole treatment: no crash, no figure that is
// none, hardness and temperatures where they can be. mutated_cases --from SEED --count N; exit 1 when one is
// bad.
#include "toml_mutator.hpp"

#include "../random/checks.hpp"
#include "../support/file_records.hpp"
#include "answers/answers.hpp"
#include "records/document.hpp"

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>

namespace {

namespace fs = std::filesystem;
using namespace tq;

std::vector<std::string> shipped_texts() {
  std::vector<fs::path> files;
  for (const auto& entry : fs::directory_iterator(fs::path(TQ_SOURCE_DIR) / "cases"))
    if (entry.path().extension() == ".toml")
      files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  std::vector<std::string> texts;
  for (const fs::path& file : files)
    texts.push_back(*test::read_file(file));
  return texts;
}

/// What is wrong with the answers, or nothing.
std::string fault_of(const answers::Answers& a) {
  for (const auto& station : a.stations)
    for (const auto& zone : station.zones)
      for (const double hrc : {zone.as_quenched_HRC, zone.tempered_HRC})
        if (std::isinf(hrc) || hrc > 70)
          return "hardness of " + std::to_string(hrc) + " HRC";
  for (const answers::Judgement* j : {&a.soak, &a.quench, &a.hardness})
    for (const char* word : {"inf ", "nan ", "-nan"})
      if (j->reason.text().find(word) != std::string::npos)
        return "a reason that says " + j->reason.text();
  return {};
}

} // namespace

int main(int argc, char** argv) {
  std::uint64_t from = 1, count = 40;
  for (int i = 1; i + 1 < argc; i += 2)
    (std::strcmp(argv[i], "--from") == 0 ? from : count) = std::strtoull(argv[i + 1], nullptr, 10);
  const std::vector<std::string> texts = shipped_texts();
  const test::FileRecords records;
  std::uint64_t done = 0, refused = 0, gave_up = 0, bad = 0;
  for (std::uint64_t seed = from; seed < from + count; ++seed) {
    std::string text = texts[seed % texts.size()];
    for (std::uint64_t change = 0; change < 1 + seed % 3; ++change)
      text = test::mutated_toml(text, seed * 7919 + change);
    std::string fault;
    try {
      const treatment::Case c = treatment::read_case(text, "mutated.toml", records);
      std::vector<treatment::Run> runs;
      const answers::Answers a = answers::answer(c, runs, {}, nullptr, {});
      for (const treatment::Run& run : runs)
        if (fault.empty())
          fault = test::inspect(c, run).fault;
      if (fault.empty())
        fault = fault_of(a);
      ++done;
    } catch (const records::InputError&) {
      ++refused;
    } catch (const treatment::SolverError& error) {
      ++gave_up;
      std::printf("seed %llu: %s\n", static_cast<unsigned long long>(seed), error.what());
    } catch (const std::exception& error) {
      fault = error.what();
    }
    if (!fault.empty()) {
      ++bad;
      std::printf("seed %llu: %s\n%s\n", static_cast<unsigned long long>(seed), fault.c_str(), text.c_str());
    }
  }
  std::printf("%llu computed, %llu refused, %llu given up, %llu bad\n", static_cast<unsigned long long>(done),
              static_cast<unsigned long long>(refused), static_cast<unsigned long long>(gave_up),
              static_cast<unsigned long long>(bad));
  return bad == 0 ? 0 : 1;
}
