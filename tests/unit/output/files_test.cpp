#include "output/files.hpp"
#include "sample.hpp"

#include <gtest/gtest.h>

#include <fstream>

namespace {

using tq::output::PendingFile;
using tq::output::WriteError;
using tq::test::file_text;
using tq::test::TemporaryFolder;
namespace fs = std::filesystem;

int entries(const fs::path& folder) {
  int count = 0;
  for ([[maybe_unused]] const auto& entry : fs::directory_iterator(folder))
    ++count;
  return count;
}

TEST(Output_Files, Committed_ReplacesEarlierResultAndLeavesNothingElse) {
  const TemporaryFolder folder;
  const fs::path target = folder.path() / "a.json";
  std::ofstream(target) << "earlier";
  {
    PendingFile file(target);
    file.write("later");
    EXPECT_EQ(file_text(target), "earlier");
    EXPECT_EQ(file.temporary().parent_path(), target.parent_path());
    file.commit();
  }
  EXPECT_EQ(file_text(target), "later");
  EXPECT_EQ(entries(folder.path()), 1);
}

TEST(Output_Files, DestroyedWithoutCommit_LeavesEarlierResultWhole) {
  const TemporaryFolder folder;
  const fs::path target = folder.path() / "a.json";
  std::ofstream(target) << "earlier";
  {
    const PendingFile file(target);
    file.write("half a res");
    EXPECT_EQ(entries(folder.path()), 2);
  }
  EXPECT_EQ(file_text(target), "earlier");
  EXPECT_EQ(entries(folder.path()), 1);
}

TEST(Output_Files, MissingFolders_AreMade) {
  const TemporaryFolder folder;
  PendingFile file(folder.path() / "one" / "two" / "a.txt");
  file.write("x");
  file.commit();
  EXPECT_EQ(file_text(folder.path() / "one" / "two" / "a.txt"), "x");
}

TEST(Output_Files, WrittenTwice_HoldsTheLastContentOnly) {
  const TemporaryFolder folder;
  PendingFile file(folder.path() / "a.txt");
  file.write("a long first content");
  file.write("short");
  file.commit();
  EXPECT_EQ(file_text(folder.path() / "a.txt"), "short");
}

TEST(Output_Files, TwoOfOneName_DoNotDisturbEachOther) {
  const TemporaryFolder folder;
  PendingFile first(folder.path() / "a.txt"), second(folder.path() / "a.txt");
  EXPECT_NE(first.temporary(), second.temporary());
}

TEST(Output_Files, TargetIsFolder_IsRefused) {
  const TemporaryFolder folder;
  fs::create_directory(folder.path() / "a.txt");
  EXPECT_THROW(PendingFile(folder.path() / "a.txt"), WriteError);
}

TEST(Output_Files, FolderIsFile_IsRefusedWithItsName) {
  const TemporaryFolder folder;
  std::ofstream(folder.path() / "file") << "x";
  try {
    const PendingFile file(folder.path() / "file" / "a.txt");
    FAIL() << "accepted";
  } catch (const WriteError& error) {
    EXPECT_NE(std::string(error.what()).find("a.txt"), std::string::npos) << error.what();
  }
}

TEST(Output_Files, OneOfSeveralCannotBeCommitted_NoneIsRenamed) {
  const TemporaryFolder folder;
  std::ofstream(folder.path() / "a.txt") << "earlier";
  {
    std::vector<PendingFile> files;
    files.emplace_back(folder.path() / "a.txt").write("later");
    files.emplace_back(folder.path() / "b.txt").write("later");
    fs::create_directory(folder.path() / "b.txt");
    EXPECT_THROW(tq::output::commit_together(files), WriteError);
  }
  EXPECT_EQ(file_text(folder.path() / "a.txt"), "earlier");
  EXPECT_EQ(entries(folder.path()), 2);
}

} // namespace
