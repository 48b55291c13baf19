// The plain part of TOML against toml11, which reads all of it.
#include "records/document.hpp"
#include "records/plain_toml.hpp"

#include <gtest/gtest.h>

#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>

namespace {

using namespace tq::records;

const auto file = std::make_shared<const std::string>("f.toml");

/// Where two trees differ, "" when they do not.
std::string difference(const Value& a, const Value& b, const std::string& path) {
  if (a.kind != b.kind || a.text != b.text || a.whole != b.whole || a.flag != b.flag ||
      std::memcmp(&a.number, &b.number, sizeof a.number) != 0)
    return path + ": another value";
  if (a.line != b.line)
    return path + ": line " + std::to_string(a.line) + " and " + std::to_string(b.line);
  if (a.items.size() != b.items.size() || a.entries.size() != b.entries.size())
    return path + ": of another size";
  for (std::size_t i = 0; i < a.items.size(); ++i)
    if (const std::string d = difference(a.items[i], b.items[i], path + "[" + std::to_string(i) + "]");
        !d.empty())
      return d;
  for (std::size_t i = 0; i < a.entries.size(); ++i) {
    if (a.entries[i].key != b.entries[i].key)
      return path + ": keys in another order";
    if (const std::string d =
            difference(a.entries[i].value, b.entries[i].value, path + "." + a.entries[i].key);
        !d.empty())
      return d;
  }
  return "";
}

/// What is wrong with the plain reading of a text, "" when it is right or leaves the text to toml11.
std::string fault_of(std::string_view text) {
  const std::optional<Value> plain = read_plain(text, file);
  if (!plain)
    return "";
  try {
    return difference(*plain, read_by_toml11(text, file), "");
  } catch (const InputError& e) {
    return std::string("toml11 refuses it: ") + e.what();
  }
}

template <class Use>
void each_toml(const char* folder, Use&& use) {
  for (const auto& entry :
       std::filesystem::recursive_directory_iterator(std::filesystem::path(TQ_SOURCE_DIR) / folder))
    if (entry.path().extension() == ".toml" && entry.file_size() < 200'000) {
      std::ifstream in(entry.path(), std::ios::binary);
      use(entry.path().string(), std::string(std::istreambuf_iterator<char>(in), {}));
    }
}

TEST(PlainToml, ReadsEveryShippedFile_AsToml11Does) {
  for (const char* folder : {"materials", "cases"})
    each_toml(folder, [](const std::string& name, const std::string& text) {
      EXPECT_TRUE(read_plain(text, file)) << name << " is left to toml11, which takes thirty times as long";
      EXPECT_EQ(fault_of(text), "") << name;
    });
}

TEST(PlainToml, OddFiles_AreReadAsByToml11OrLeftToIt) {
  each_toml("tests",
            [](const std::string& name, const std::string& text) { EXPECT_EQ(fault_of(text), "") << name; });
}

TEST(PlainToml, OddTexts_AreReadAsByToml11OrLeftToIt) {
  for (const char* text : {"",
                           "\n",
                           "# only this",
                           "a=1",
                           "a = 1 # b",
                           "a = 1 b = 2",
                           "a = \"\"",
                           "a = \"\"\"\"\"\"",
                           "a = \"\"\"\nx\"\"\"",
                           "a = \"\"\"x\"\"\"\"",
                           "a = \"x\" \"y\"",
                           "a = 'x'",
                           "a = ''",
                           "a = '''x'''",
                           "a = \"\\u00e9\"",
                           "a = \"\\q\"",
                           "a = \"x\ny\"",
                           "a = \"\"\"x\\\n   y\"\"\"",
                           "a = \"\"\"x\\  \n y\"\"\"",
                           "a = \"\"\"x\\\n\n\t y\\\\\\\"z\"\"\"\nb = 1",
                           "a = 0",
                           "a = -0",
                           "a = +0",
                           "a = 00",
                           "a = 01",
                           "a = 1_000",
                           "a = 0x1F",
                           "a = 0.1",
                           "a = .1",
                           "a = 1.",
                           "a = -0.0",
                           "a = 1e3",
                           "a = 1E+3",
                           "a = 1e-3",
                           "a = 1e",
                           "a = 1.5e300",
                           "a = 123456789012345",
                           "a = 1234567890123456",
                           "a = 0.1234567890123456789",
                           "a = 9007199254740993.0",
                           "a = 1e22",
                           "a = 1e23",
                           "a = 4.35e-5",
                           "a = inf",
                           "a = nan",
                           "a = true",
                           "a = truely",
                           "a = false",
                           "a = 1979-05-27",
                           "a = 07:32:00",
                           "a = []",
                           "a = [1, 2.5, \"x\"]",
                           "a = [1,]",
                           "a = [1 2]",
                           "a = [,]",
                           "a = [\n 1, # one\n 2\n]\nb = 1",
                           "a = [[1, 2], [3]]",
                           "a = {}",
                           "a = {b = 1}",
                           "a = {b = 1,}",
                           "a = {b = 1, c = {d = 2}}",
                           "a = {b = 1, b = 2}",
                           "a = {b = 1\n}",
                           "a = {b = [1,\n2]}",
                           "a = {b = \"\"\"x\ny\"\"\"}",
                           "[a]\nb = 1\n[a]",
                           "[a.b]\n[a]\nc = 1",
                           "[a]\n[a.b]\nc = 1",
                           "[a.b]\n[a.c]",
                           "a = 1\n[a]",
                           "a = {b = 1}\n[a.c]",
                           "[[a]]\nb = 1\n[[a]]\nb = 2",
                           "[[a]]\n[a.b]\nc = 1\n[[a]]\n[a.b]\nc = 2",
                           "[[a]]\n[[a.b]]\nc = 1\n[[a.b]]\nc = 2\n[[a]]\n[[a.b]]",
                           "[a]\n[[a]]",
                           "[[a]]\n[a]",
                           "a = [1]\n[[a]]",
                           "a = [{b = 1}]\n[[a]]",
                           "[[a.b]]\n[a]\nc = 1",
                           "[ a ]",
                           "[a] b = 1",
                           "[]",
                           "[a.]",
                           "[.a]",
                           "[a..b]",
                           "[[a]",
                           "[a]]",
                           "a.b = 1",
                           "\"a\" = 1",
                           "a = 1\na = 2",
                           "a",
                           "a =",
                           "= 1",
                           "a == 1",
                           "a = 1\r\nb = 2\r\n",
                           "\t a\t=\t1\t",
                           "a = [\"x\" # y\n]",
                           "[a]\nb = 1\n[a.b]\nc = 1",
                           "[a.b.c]\nd = 1\n[a.b]\ne = 1",
                           "- = 1",
                           "1 = 2",
                           "[1.2]\n3 = 4",
                           "a = \"\x7f\"",
                           "a = \"\xc3\xa9\"",
                           "a = \"tab\there\"",
                           "# \xff"})
    EXPECT_EQ(fault_of(text), "") << text;
}

// Damaged in one to three places, most texts are no TOML or another one.
TEST(PlainToml, DamagedTexts_AreReadAsByToml11OrLeftToIt) {
  std::string sample =
      "# a blade\ntitle = \"x \\\"y\\\"\"\nn = [1, -2.5,\n 3e-2] # three\nodd = 'c:\\d'\non = true\n"
      "[blade]\nspine = \"3.2 mm\"\nat = { x = 1.25, y = \"a\" }\n[[blade.station]]\nk = 1\n"
      "[blade.station.sub]\nm = 2\n[[blade.station]]\nk = 0.1\ntext = \"\"\"\\\n  one \\\n  two\"\"\"\n"
      "[steel.more]\nv = 1e3\n";
  const std::string pieces = "\"'[]{}=,.#\\\n\t -+_0123456789abtfen:";
  std::mt19937 random(20261130);
  const auto below = [&](std::size_t n) { return random() % n; };
  std::size_t plain = 0;
  for (int trial = 0; trial < 6000; ++trial) {
    std::string text = sample;
    for (std::size_t changes = 1 + below(3); changes > 0; --changes) {
      const std::size_t at = below(text.size());
      switch (below(4)) {
      case 0:
        text.erase(at, 1 + below(3));
        break;
      case 1:
        text.insert(at, 1, pieces[below(pieces.size())]);
        break;
      case 2:
        text[at] = pieces[below(pieces.size())];
        break;
      default: { // a line again, elsewhere
        const std::size_t from = text.rfind('\n', at), to = text.find('\n', at);
        if (from != std::string::npos && to != std::string::npos)
          text.insert(text.find('\n', below(to)) + 1, text.substr(from + 1, to - from));
      }
      }
    }
    plain += read_plain(text, file).has_value();
    ASSERT_EQ(fault_of(text), "") << text;
  }
  EXPECT_GT(plain, 1000u); // or the trial shows nothing
}

} // namespace
