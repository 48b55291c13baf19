// Every bad case in tests/malformed/ gives exactly the lines that stand beside it, one for each thing wrong.
#include "../../support/file_records.hpp"

#include <gtest/gtest.h>

#include <filesystem>
#include <string>

using namespace tq;

namespace {

const std::filesystem::path folder = std::filesystem::path(TQ_SOURCE_DIR) / "tests" / "malformed";

std::string message(const std::string& text, const std::string& file) {
  try {
    treatment::read_case(text, file, test::FileRecords(folder));
  } catch (const records::InputError& e) {
    return e.what();
  }
  return "read without an error";
}

} // namespace

TEST(Treatment_Malformed, EveryFile_GivesItsLines) {
  int files = 0;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    if (entry.path().extension() != ".toml")
      continue;
    ++files;
    const auto text = test::read_file(entry.path());
    const auto expected = test::read_file(std::filesystem::path(entry.path()).replace_extension(".expected"));
    ASSERT_TRUE(text) << entry.path();
    ASSERT_TRUE(expected) << entry.path() << " has no .expected beside it";
    EXPECT_EQ(message(*text, entry.path().filename().string()) + "\n", *expected) << entry.path();
  }
  EXPECT_GE(files, 36);
}

TEST(Treatment_Malformed, NoExpectedLineIsLeftOver) {
  for (const auto& entry : std::filesystem::directory_iterator(folder))
    EXPECT_TRUE(entry.path().extension() != ".expected" ||
                std::filesystem::exists(std::filesystem::path(entry.path()).replace_extension(".toml")))
        << entry.path();
}
