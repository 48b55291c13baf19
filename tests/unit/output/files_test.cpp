#include "output/files/files.hpp"
#include "sample.hpp"

#include <gtest/gtest.h>

#include <fstream>
#include <unistd.h>

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
  first.write("first");
  second.write("second");
  second.commit();
  EXPECT_EQ(file_text(folder.path() / "a.txt"), "second");
  first.commit();
  EXPECT_EQ(file_text(folder.path() / "a.txt"), "first");
  EXPECT_EQ(entries(folder.path()), 1);
}

// Somebody else who may write into the folder puts a link in the place of every temporary file.
TEST(Output_Files, TemporaryFileReplacedByLink_NothingIsWrittenThroughIt) {
  const TemporaryFolder folder;
  const fs::path victim = folder.path() / "victim", shared = folder.path() / "shared";
  std::ofstream(victim) << "of another user";
  fs::create_directory(shared);
  {
    PendingFile file(shared / "a.txt");
    const auto replace = [&] {
      for (const auto& entry : fs::directory_iterator(shared)) {
        fs::remove(entry.path());
        fs::create_symlink(victim, entry.path());
      }
    };
    replace();
    file.write("result");
    replace();
    try {
      file.commit();
      EXPECT_EQ(file_text(shared / "a.txt"), "result");
      EXPECT_FALSE(fs::is_symlink(shared / "a.txt"));
    } catch (const WriteError&) {
      // where files without a name are not known the swap is noticed
    }
  }
  EXPECT_EQ(file_text(victim), "of another user");
}

TEST(Output_Files, TargetIsLink_TheLinkIsReplacedNotItsTarget) {
  const TemporaryFolder folder;
  std::ofstream(folder.path() / "victim") << "kept";
  fs::create_symlink(folder.path() / "victim", folder.path() / "a.txt");
  PendingFile file(folder.path() / "a.txt");
  file.write("result");
  file.commit();
  EXPECT_EQ(file_text(folder.path() / "victim"), "kept");
  EXPECT_FALSE(fs::is_symlink(folder.path() / "a.txt"));
}

TEST(Output_Files, LeftBehindByProcessThatIsNoMore_IsRemoved) {
  const TemporaryFolder folder;
  // above the largest number a process can have (kernel/pid.c: 2^22)
  std::ofstream(folder.path() / ".a.txt.99999999.0.part") << "half";
  std::ofstream(folder.path() / ".b.txt.99999999.0.part") << "of another result";
  std::ofstream(folder.path() / (".a.txt." + std::to_string(::getpid()) + ".7.part")) << "of one at work";
  PendingFile file(folder.path() / "a.txt");
  file.write("x");
  file.commit();
  EXPECT_FALSE(fs::exists(folder.path() / ".a.txt.99999999.0.part"));
  EXPECT_EQ(entries(folder.path()), 3);
}

TEST(Output_Files, FolderToBe_IsTriedInTheNearestThatExistsAndNothingStays) {
  const TemporaryFolder folder;
  EXPECT_NO_THROW(tq::output::require_writable_folder(folder.path() / "one" / "two"));
  EXPECT_EQ(entries(folder.path()), 0);
  std::ofstream(folder.path() / "file") << "x";
  EXPECT_THROW(tq::output::require_writable_folder(folder.path() / "file" / "two"), WriteError);
  EXPECT_THROW(tq::output::require_writable_folder("/proc/nothing"), WriteError);
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
