// Gives every file of the corpus and every past finding to its target once: the short form of the fuzzing,
// part of every run of the tests (and of those under sanitizers). Besides, some changed cases per shipped
// case.
#include "targets.hpp"
#include "toml_mutator.hpp"

#include "../support/file_records.hpp"

#include <gtest/gtest.h>

namespace {

namespace fs = std::filesystem;
const fs::path here = fs::path(TQ_SOURCE_DIR) / "tests/fuzz";

/// Files that belong to a target: its folder, and what of the project is of its kind.
std::vector<fs::path> inputs_of(const std::string& name) {
  const fs::path root = TQ_SOURCE_DIR;
  std::vector<fs::path> folders{here / "corpus" / name, here / "findings" / name};
  if (name == "case")
    for (const char* folder : {"cases", "tests/malformed", "tests/scenarios"})
      folders.push_back(root / folder);
  for (const auto& [kind, folder] : {std::pair{"steel", "steels"},
                                     {"coolant", "coolants"},
                                     {"foil", "foils"},
                                     {"probe", "probes"},
                                     {"solid", "solids"}})
    if (name == kind)
      folders.push_back(root / "materials" / folder);
  if (name == "plan")
    folders.push_back(root / "cases/sweeps");
  if (name == "plain")
    for (const char* folder : {"cases", "materials/steels", "materials/coolants", "tests/malformed"})
      folders.push_back(root / folder);
  std::vector<fs::path> files;
  for (const fs::path& folder : folders)
    if (fs::is_directory(folder))
      for (const auto& entry : fs::directory_iterator(folder))
        if (entry.is_regular_file() && entry.path().extension() != ".expected")
          files.push_back(entry.path());
  if (name == "strains")
    files.push_back(root / "materials/strains.toml");
  if (name == "uncertainty")
    files.push_back(root / "materials/typical_uncertainty.toml");
  if (name == "faults")
    files.push_back(root / "materials/typical_faults.toml");
  std::sort(files.begin(), files.end());
  return files;
}

class Replay : public testing::TestWithParam<tq::test::FuzzTarget> {};

// Each is read or refused with one line; a target aborts when it breaks another promise.
TEST_P(Replay, EveryInputAndItsNeighbours_AreReadOrRefused) {
  const tq::test::FuzzTarget& target = GetParam();
  const std::vector<fs::path> files = inputs_of(target.name);
  EXPECT_FALSE(files.empty()) << "nothing to begin from";
  for (const fs::path& file : files) {
    SCOPED_TRACE(file.string());
    const std::string text = *tq::test::read_file(file);
    EXPECT_NO_THROW(target.read(text));
    for (std::size_t blanks = 1;
         std::string_view(target.name) == "quantity" && blanks < tq::test::quantity_ways; ++blanks)
      EXPECT_NO_THROW(target.read(text + std::string(blanks, ' ')));
    std::string changed = text;
    for (std::uint64_t seed = 0; target.toml && seed < 5; ++seed) {
      changed =
          tq::test::mutated_toml(changed, seed + 1000 * std::hash<std::string>()(file.filename().string()));
      EXPECT_NO_THROW(target.read(changed)) << changed;
    }
  }
}
INSTANTIATE_TEST_SUITE_P(Targets, Replay, testing::ValuesIn(tq::test::fuzz_targets),
                         [](const auto& target) { return std::string(target.param.name); });

} // namespace
