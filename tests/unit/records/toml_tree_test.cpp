// The quick parser against toml11: whatever it takes must be the same tree, to the line.
#include "records/document.hpp"
#include "records/toml_tree.hpp"

#include <gtest/gtest.h>

#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>
#include <string>
#include <vector>

namespace tq::records {
namespace {

namespace fs = std::filesystem;

std::string text_of(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

std::vector<fs::path> texts_below(const char* folder) {
  std::vector<fs::path> out;
  for (const auto& entry : fs::recursive_directory_iterator(fs::path(TQ_SOURCE_DIR) / folder))
    if (entry.path().extension() == ".toml")
      out.push_back(entry.path());
  return out;
}

/// Where two trees differ, "" when nowhere.
std::string difference(const Value& a, const Value& b, const std::string& path) {
  if (a.kind != b.kind || a.text != b.text || std::memcmp(&a.number, &b.number, sizeof a.number) != 0 ||
      a.whole != b.whole || a.flag != b.flag || a.line != b.line || *a.file != *b.file ||
      a.items.size() != b.items.size() || a.entries.size() != b.entries.size())
    return path + " of line " + std::to_string(a.line) + " and " + std::to_string(b.line);
  std::string found;
  for (std::size_t i = 0; i < a.items.size() && found.empty(); ++i)
    found = difference(a.items[i], b.items[i], path + "[" + std::to_string(i + 1) + "]");
  for (std::size_t i = 0; i < a.entries.size() && found.empty(); ++i)
    found = a.entries[i].key != b.entries[i].key
                ? path + ": " + a.entries[i].key + " and " + b.entries[i].key
                : difference(a.entries[i].value, b.entries[i].value, path + "." + a.entries[i].key);
  return found;
}

/// True when the quick parser took the text; fails when toml11 sees it otherwise.
bool taken(const std::string& text) {
  const std::optional<Value> quick = parse_usual(text, std::make_shared<const std::string>("text"));
  if (!quick)
    return false;
  try {
    EXPECT_EQ(difference(*quick, parse_any(text, "text"), ""), "") << text;
  } catch (const InputError& e) {
    ADD_FAILURE() << "toml11 refuses what the quick parser took: " << e.what() << "\n" << text;
  }
  return true;
}

TEST(TomlTree, ShippedFiles_AllTakenAndTheSame) {
  for (const char* folder : {"materials", "cases"})
    for (const fs::path& file : texts_below(folder))
      EXPECT_TRUE(taken(text_of(file))) << file;
}

TEST(TomlTree, DamagedFiles_SameOrLeftToToml11) {
  int refused = 0;
  for (const fs::path& file : texts_below("tests/malformed"))
    if (file.filename() != "latin1.toml" && file.filename() != "binary.toml") // no UTF-8, never parsed
      refused += taken(text_of(file)) ? 0 : 1;
  EXPECT_GE(refused, 10); // those that are no TOML
}

// Single bytes of a case and of two records put in, taken away, exchanged.
TEST(TomlTree, SingleBytesChanged_SameOrLeftToToml11) {
  std::mt19937 engine(1);
  const std::string bytes = "\"'[]{}=.,#-+_ \n\t\\0eE1a:";
  for (const char* file :
       {"cases/drop_point_o1.toml", "materials/coolants/medium-oil.toml", "materials/temper_model.toml"}) {
    const std::string whole = text_of(fs::path(TQ_SOURCE_DIR) / file);
    int taken_count = 0;
    constexpr int trials = 150;
    for (int i = 0; i < trials; ++i) {
      std::string text = whole;
      const std::size_t at = engine() % text.size();
      const char byte = bytes[engine() % bytes.size()];
      switch (engine() % 3) {
      case 0:
        text.insert(at, 1, byte);
        break;
      case 1:
        text.erase(at, 1);
        break;
      default:
        text[at] = byte;
      }
      taken_count += taken(text);
    }
    EXPECT_GT(taken_count, trials / 5) << file; // or the comparison says little
  }
}

TEST(TomlTree, RareForms_AreLeftToToml11) {
  for (const char* text : {"a = 1_000",
                           "a = 0x1f",
                           "a = 2026-01-01",
                           "a = inf",
                           "a.b = 1",
                           "a = 01",
                           "a = 1.",
                           "a = .5",
                           "a = \"\\u00e9\"",
                           "a = 1\na = 2",
                           "[t]\n[t]",
                           "[t.u]\n[t]",
                           "a = {b = 1}\n[a.c]",
                           "a = [1, \"x\"]",
                           "a = [{b = 1}]\n[[a]]",
                           "a = 1 b = 2",
                           "a = ",
                           "[t",
                           "a = {b = 1,}",
                           "a = {b = 1\n}",
                           "= 1"})
    EXPECT_FALSE(parse_usual(text, std::make_shared<const std::string>("text"))) << text;
}

} // namespace
} // namespace tq::records
