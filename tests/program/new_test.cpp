// The guided start: questions answered over a pipe become a case that computes, bad answers become nothing.
#include "run_command.hpp"

#include <gtest/gtest.h>

#include <filesystem>
#include <string>

namespace {

namespace fs = std::filesystem;
using namespace tq::test;

class New : public testing::Test {
 protected:
  Outcome answer(const std::string& answers, const std::string& file = "mine.toml") const {
    Request r;
    r.program = TQ_PROGRAM;
    r.arguments = {"new", file};
    r.input = answers;
    r.folder = folder.path();
    return run_command(r);
  }
  bool there(const char* file) const { return fs::exists(folder.path() / file); }
  const TemporaryFolder folder;
};

constexpr const char* steel_spine_edge = "O1\n1/8 in\n0.6 mm\n";

} // namespace

// Only steel and thicknesses are told, the rest is an empty line: what is assumed is said, and it computes.
TEST_F(New, UsualAnswersOverAPipe_BecomeACaseThatComputes) {
  const Outcome made = answer(std::string(steel_spine_edge) + "\n\n\n\n\n\n\n\n\n60-62 HRC\nyes\n");
  ASSERT_EQ(made.exit_code, 0) << made.err;
  for (const char* part : {"Which steel?", "How thick is the spine?", "Written: mine.toml", "spheroidised",
                           "Compute it now?", "hardness"})
    EXPECT_NE(made.out.find(part), std::string::npos) << part << " in\n" << made.out;
  const std::string text = read_file(folder.path() / "mine.toml");
  for (const char* part : {"steel = \"O1\"", "spine = \"1/8 in\"", "hardness = ["})
    EXPECT_NE(text.find(part), std::string::npos) << part << " in\n" << text;
  EXPECT_TRUE(there("out/mine.json"));
}

TEST_F(New, EndOfTheAnswers_TakesWhatIsUsual) {
  EXPECT_EQ(answer(steel_spine_edge).exit_code, 0);
  EXPECT_EQ(thinquench({"check", "mine.toml", "-q"}, {}, folder.path()).exit_code, 0);
  EXPECT_FALSE(there("out"));
}

TEST_F(New, BadAnswers_AreToldAndWriteNothing) {
  for (const auto& [answers, told] :
       {std::pair<const char*, const char*>{"", "Which steel? an answer is needed"},
        {"O9\n", "'O9' is not known; allowed: "},
        {"O1\nthick\n", "\"thick\""},
        {"O1\n3 mm\n0.5 kg\n", "kg"},
        {"O1\n3 mm\n", "How thick is the edge? an answer is needed"}}) {
    const Outcome refused = answer(answers);
    EXPECT_EQ(refused.exit_code, 2) << answers;
    EXPECT_EQ(line_count(refused.err), 1) << refused.err;
    EXPECT_NE(refused.err.find(told), std::string::npos) << refused.err;
    EXPECT_FALSE(there("mine.toml")) << answers;
  }
}

TEST_F(New, FileThatIsThere_IsNotOverwritten) {
  write_file(folder.path() / "mine.toml", "kept");
  expect_refused(answer(steel_spine_edge), "is already there");
  EXPECT_EQ(read_file(folder.path() / "mine.toml"), "kept");
  expect_refused(answer(steel_spine_edge, "mine.txt"), ".toml");
}
