// What a hostile machine or a hostile file can do: the table in tests/README.md says what happens in each
// case.
#include "run_command.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <map>
#include <random>
#include <spawn.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>

using tq::test::expect_refused;
using tq::test::line_count;
using tq::test::Outcome;
using tq::test::read_file;
using tq::test::Request;
using tq::test::run_command;
using tq::test::TemporaryFolder;
using tq::test::write_file;

namespace fs = std::filesystem;

namespace {

/// A small case on a coarse grid, so that a run takes a moment.
std::string small_case(const std::string& title, const std::string& steel = "O1") {
  return "format = 1\ntitle = \"" + title + "\"\n[blade]\nsteel = \"" + steel +
         "\"\nlength = \"110 mm\"\n[[blade.station]]\nname = \"middle\"\nwidth = \"30 mm\"\nspine = \"3.2 "
         "mm\"\n"
         "edge = \"0.6 mm\"\n[furnace]\nsetpoint = \"800 degC\"\ntimer = \"35 min\"\n[bath]\n"
         "coolant = \"medium-oil\"\ntemperature = \"55 degC\"\n[temper]\noven = \"205 "
         "degC\"\n[solver]\nalong = 30\n"
         "across = 4\n";
}

const std::vector<std::string> kinds = {".h5", ".html", "_sheet.html", ".json", ".xmf", ".svg"};

class Faults : public testing::Test {
 protected:
  TemporaryFolder folder;

  void SetUp() override { write_file(folder.path() / "x.toml", small_case("first")); }
  Outcome run(std::vector<std::string> arguments) const {
    Request r;
    r.program = TQ_PROGRAM;
    r.arguments = std::move(arguments);
    r.folder = folder.path();
    return run_command(r);
  }
  /// A line of the shell; $PROGRAM is the program.
  Outcome shell(const std::string& line) const {
    Request r;
    r.program = "/bin/sh";
    r.arguments = {"-c", line};
    r.folder = folder.path();
    r.environment["PROGRAM"] = TQ_PROGRAM;
    return run_command(r);
  }
  std::vector<std::string> names(const fs::path& where) const {
    std::vector<std::string> found;
    std::error_code none;
    for (const fs::directory_entry& entry : fs::directory_iterator(folder.path() / where, none))
      found.push_back(entry.path().filename().string());
    std::sort(found.begin(), found.end());
    return found;
  }
};

bool harmless(const std::string& text) {
  for (const char* bad : {"\x1b", "\x07", "\x7f", "\r", "\xc2\x9b", "\xc2\x85", "\xe2\x80\xae",
                          "\xe2\x81\xa6", "\xe2\x80\x8f", "\xef\xbf\xbe", "\xef\xbf\xbf"})
    if (text.find(bad) != std::string::npos)
      return false;
  return true;
}

} // namespace

// A limit on the size of files stands for the full disc: a write fails in the middle of it.
TEST_F(Faults, FileCannotGrow_Exits1AndEarlierResultsStayWhole) {
  fs::create_directory(folder.path() / "out");
  for (const std::string& kind : kinds)
    write_file(folder.path() / "out" / ("x" + kind), "of an earlier day");
  for (const char* blocks : {"1", "40", "100", "400"}) {
    const Outcome outcome =
        shell(std::string("ulimit -f ") + blocks + "; exec \"$PROGRAM\" harden x.toml -q");
    EXPECT_EQ(outcome.exit_code, 1) << blocks << ": " << outcome.err;
    EXPECT_NE(outcome.err.find("cannot write"), std::string::npos) << outcome.err;
    EXPECT_EQ(line_count(outcome.err), 1) << outcome.err;
    EXPECT_EQ(names("out").size(), kinds.size());
    for (const std::string& kind : kinds)
      EXPECT_EQ(read_file(folder.path() / "out" / ("x" + kind)), "of an earlier day");
  }
}

TEST_F(Faults, ReaderOfThePipeGoesAway_FilesAreWrittenAllTheSame) {
  const Outcome outcome =
      shell("{ \"$PROGRAM\" harden x.toml --no-bands --no-what-if; echo $? > code; } | head -1");
  EXPECT_EQ(line_count(outcome.out), 1);
  EXPECT_EQ(read_file(folder.path() / "code"), "0\n") << outcome.err;
  EXPECT_EQ(names("out").size(), kinds.size());
}

TEST_F(Faults, ClosedStreams_NoResultTakesTheirPlace) {
  EXPECT_EQ(shell("\"$PROGRAM\" harden x.toml --no-bands --no-what-if >&-").exit_code, 1);
  EXPECT_EQ(shell("\"$PROGRAM\" harden x.toml -q <&- >&- 2>&-").exit_code, 1);
  EXPECT_TRUE(nlohmann::json::accept(read_file(folder.path() / "out/x.json")));
  EXPECT_EQ(read_file(folder.path() / "x.toml"), small_case("first"));
}

TEST_F(Faults, LittleMemory_EndsWithOneLine) {
  for (const char* kilobytes : {"40000", "60000", "80000", "100000", "120000", "140000"}) {
    const Outcome outcome =
        shell(std::string("ulimit -v ") + kilobytes + "; exec \"$PROGRAM\" harden x.toml -q --members 32");
    EXPECT_TRUE(outcome.exit_code == 0 || outcome.exit_code == 1 || outcome.exit_code == 127)
        << kilobytes << ": " << outcome.exit_code << outcome.err;
    EXPECT_LE(line_count(outcome.err), 1) << outcome.err;
  }
}

TEST_F(Faults, FolderThatCannotBeWritten_IsToldBeforeAnythingIsComputed) {
  for (const char* place : {"/proc/nothing", "/dev/null/out"}) {
    expect_refused(run({"harden", "x.toml", "--output", place}), "--output");
    expect_refused(run({"oil", "--ball", "12 s", "--out", std::string(place) + "/oil.toml"}), "--out");
  }
}

TEST_F(Faults, OutputThatIsNoFolder_IsRefused) {
  expect_refused(run({"harden", "x.toml", "-o", ""}), "--output");
  expect_refused(run({"harden", "x.toml", "-o", "-"}), "--json");
  EXPECT_EQ(names("."), std::vector<std::string>{"x.toml"});
}

TEST_F(Faults, FifoOrLinkAtTheTarget_IsReplacedAndNotFollowed) {
  fs::create_directory(folder.path() / "out");
  write_file(folder.path() / "victim", "kept");
  fs::create_symlink("../victim", folder.path() / "out/x.svg");
  ASSERT_EQ(::mkfifo((folder.path() / "out/x.html").c_str(), 0666), 0);
  EXPECT_EQ(run({"harden", "x.toml", "-q"}).exit_code, 0);
  EXPECT_EQ(read_file(folder.path() / "victim"), "kept");
  EXPECT_TRUE(fs::is_regular_file(fs::symlink_status(folder.path() / "out/x.svg")));
  EXPECT_TRUE(fs::is_regular_file(fs::symlink_status(folder.path() / "out/x.html")));
}

TEST_F(Faults, TwoRunsIntoOneFolder_EndWithWholeFilesAndNothingElse) {
  const Outcome outcome = shell("\"$PROGRAM\" harden x.toml -q & \"$PROGRAM\" harden x.toml -q & wait");
  EXPECT_EQ(outcome.err, "");
  EXPECT_EQ(names("out").size(), kinds.size());
  EXPECT_TRUE(nlohmann::json::accept(read_file(folder.path() / "out/x.json")));
}

TEST_F(Faults, OddFileNames_AreWrittenAndToldOnOneLine) {
  for (const std::string name :
       {"it's \"so\"", "two\nlines", "\xc3\xa4\xe5\x88\x83", "..x", "a b", "-x", "\x1b[31m"}) {
    SCOPED_TRACE(name);
    write_file(folder.path() / (name + ".toml"), small_case("odd"));
    const Outcome outcome = run({"harden", "./" + name + ".toml", "--no-bands", "--no-what-if", "-o", "odd"});
    EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
    EXPECT_TRUE(harmless(outcome.out));
    for (const std::string& kind : kinds)
      EXPECT_TRUE(fs::exists(folder.path() / "odd" / (name + kind))) << kind;
    fs::remove_all(folder.path() / "odd");
  }
}

TEST_F(Faults, TwoCasesOfOneName_DoNotOverwriteEachOther) {
  fs::create_directory(folder.path() / "other");
  write_file(folder.path() / "other/x.toml", small_case("second"));
  ASSERT_EQ(run({"harden", "x.toml", "-q"}).exit_code, 0);
  ASSERT_EQ(run({"harden", "x.toml", "-q"}).exit_code, 0) << "the same case again";
  ASSERT_EQ(run({"harden", (folder.path() / "x.toml").string(), "-q"}).exit_code, 0) << "by another path";
  const std::string before = read_file(folder.path() / "out/x.json");
  expect_refused(run({"harden", "other/x.toml", "-q"}), "out/x.json belongs to the results of ");
  EXPECT_EQ(read_file(folder.path() / "out/x.json"), before);
  EXPECT_EQ(run({"harden", "other/x.toml", "-q", "-o", "elsewhere"}).exit_code, 0);
}

TEST_F(Faults, CaseNamedLikeTheSheetOfAnother_DoesNotTakeItsPage) {
  write_file(folder.path() / "x_sheet.toml", small_case("second"));
  ASSERT_EQ(run({"harden", "x.toml", "-q"}).exit_code, 0);
  const std::string page = read_file(folder.path() / "out/x_sheet.html");
  expect_refused(run({"harden", "x_sheet.toml", "-q"}), "x_sheet.html belongs to the results of x.toml");
  EXPECT_EQ(read_file(folder.path() / "out/x_sheet.html"), page);
  ASSERT_EQ(run({"harden", "x_sheet.toml", "-q", "-o", "elsewhere"}).exit_code, 0);
  expect_refused(run({"harden", "x.toml", "-q", "-o", "elsewhere"}),
                 "belongs to the results of x_sheet.toml");
}

TEST_F(Faults, CaseThatNamesAForeignFileAsSteel_DoesNotShowALineOfIt) {
  write_file(folder.path() / "secret", "root:password\n");
  write_file(folder.path() / "x.toml", small_case("spy", (folder.path() / "secret").string()));
  const Outcome outcome = run({"check", "x.toml"});
  EXPECT_EQ(outcome.exit_code, 2);
  EXPECT_EQ(outcome.err.find("password"), std::string::npos) << outcome.err;
  fs::create_symlink("secret", folder.path() / "steel.toml");
  write_file(folder.path() / "x.toml", small_case("spy", "./steel.toml"));
  EXPECT_EQ(run({"check", "x.toml"}).err.find("password"), std::string::npos) << "nor by a link";
}

// The same of a plan, and of a journal, that names case, table or log; a FIFO would be waited for.
TEST_F(Faults, PlanOrJournalThatNamesAForeignFile_DoesNotShowALineOfIt) {
  write_file(folder.path() / "secret", "root:password\n");
  fs::create_symlink("secret", folder.path() / "link.csv");
  ASSERT_EQ(::mkfifo((folder.path() / "fifo.csv").c_str(), 0666), 0);
  const std::string head = "format = 1\nfigures = [\"hardness_tempered\"]\n";
  for (const std::string& rest :
       {std::string("case = \"secret\"\n[[axis]]\nkey = \"blade.spine\"\nvalues = [\"3 mm\"]\n"),
        std::string("case = \"x.toml\"\n[rows]\nfile = \"secret\"\n"),
        std::string("case = \"x.toml\"\n[rows]\nfile = \"link.csv\"\n"),
        std::string("case = \"x.toml\"\n[rows]\nfile = \"fifo.csv\"\n")}) {
    write_file(folder.path() / "plan.toml", head + rest);
    const Outcome outcome = run({"sweep", "plan.toml"});
    EXPECT_EQ(outcome.exit_code, 2) << rest;
    EXPECT_NE(outcome.err.find("so it is not read"), std::string::npos) << outcome.err;
    EXPECT_EQ(outcome.err.find("password"), std::string::npos) << outcome.err;
  }
  for (const char* entry :
       {"case = \"secret\"\nquenched = \"edge 65 HRC\"\n", "case = \"x.toml\"\npacket_log = \"secret\"\n",
        "case = \"x.toml\"\npacket_log = \"fifo.csv\"\n"}) {
    write_file(folder.path() / "shop.toml", std::string("format = 1\n[[firing]]\n") + entry);
    const Outcome outcome = run({"shop"});
    EXPECT_NE(outcome.err.find("so it is not read"), std::string::npos) << entry << outcome.err;
    EXPECT_EQ((outcome.out + outcome.err).find("password"), std::string::npos) << entry << outcome.err;
  }
}

// Questions answered by a device that never ends a line, within 200 MB.
TEST_F(Faults, EndlessAnswer_IsRefused) {
  for (const char* asking : {"new y.toml", "note x.toml --shop shop.toml"}) {
    const Outcome outcome =
        shell(std::string("ulimit -v 200000; timeout 20 \"$PROGRAM\" ") + asking + " < /dev/zero");
    EXPECT_EQ(outcome.exit_code, 2) << outcome.err;
    EXPECT_NE(outcome.err.find("more than 1000 characters"), std::string::npos) << outcome.err;
  }
  EXPECT_EQ(names("."), std::vector<std::string>{"x.toml"});
}

// A script whose variable is not set must not get the usual value in its place.
TEST_F(Faults, OptionThatIsGivenNothing_IsRefused) {
  expect_refused(run({"harden", "--steel", "O1", "--spine", "3 mm", "--edge", "0.5 mm", "--oven", ""}),
                 "--oven: '' is empty");
  expect_refused(run({"jominy", "O1", "--draw", ""}), "--draw");
  expect_refused(run({"compare", "x.toml", "--oils", ""}), "--oils");
}

TEST_F(Faults, OutputNamesThatSurprise_AreRefused) {
  write_file(folder.path() / "plan.toml", "format = 1\ncase = \"x.toml\"\nfigures = [\"hardness_tempered\"]\n"
                                          "[[axis]]\nkey = \"blade.spine\"\nvalues = [\"3 mm\"]\n");
  expect_refused(run({"sweep", "plan.toml", "-o", "-"}), "no name of a file");
  expect_refused(run({"sweep", "plan.toml", "-o", "a.rows"}), ".rows is for the rows");
  expect_refused(run({"sweep", "plan.toml", "-o", "a.h5", "--csv", "./a.h5"}), "place of another file");
  expect_refused(run({"sweep", "plan.toml", "-o", "a.h5", "--csv", "/dev/null"}), "is a device");
  expect_refused(run({"sweep", "plan.toml", "-o", "a.h5", "--csv", "/proc/no/a.csv"}), "--csv");
  expect_refused(run({"oil", "--ball", "12 s", "--out", ".toml/"}), "--out");
  expect_refused(run({"jominy", "O1", "--draw", "plan.toml"}), "ends in .svg");
  expect_refused(run({"map", "a.h5", "--x", "k", "--figure", "f", "-o", "plan.toml"}), "ends in .svg");
  EXPECT_EQ(names("."), (std::vector<std::string>{"plan.toml", "x.toml"}));
  ASSERT_EQ(run({"sweep", "plan.toml", "-o", "a.h5", "-q"}).exit_code, 0);
  expect_refused(run({"sweep", "plan.toml", "-o", "a.h5", "--csv", "a.csv"}), "is there already");
}

TEST_F(Faults, MessageAboutWhateverWasTyped_IsOfSaneLength) {
  const Outcome outcome = run({"compare", "x.toml", "--spines", std::string(50'000, ',')});
  expect_refused(outcome, "--spines");
  EXPECT_LT(outcome.err.size(), 1200U);
}

TEST_F(Faults, SeedThatIsTakenAsAnother_IsRefused) {
  expect_refused(run({"harden", "x.toml", "--seed", "-1"}), "'-1' is no seed");
  expect_refused(run({"harden", "x.toml", "--seed", "99999999999999999999"}), "is no seed");
}

// What would take gigabytes and hours.
TEST_F(Faults, TableOfTooManyRows_IsRefusedAtOnce) {
  std::string rows = "steel,temperature_degC,m\n";
  for (int n = 0; n < 100'001; ++n)
    rows += "?,200,\n";
  write_file(folder.path() / "rows.csv", rows);
  expect_refused(run({"ask", "--csv", "rows.csv"}), "100001 rows; allowed: at most 100000");
  rows = "steel,temperature_degC,m\n";
  for (int n = 0; n < 1001; ++n)
    rows += "O1,200,61\n";
  write_file(folder.path() / "rows.csv", rows);
  expect_refused(run({"ask", "--csv", "rows.csv", "--measured", "m"}), "more than 1000 measured rows");
}

// A wish that no search could end with.
TEST_F(Faults, WishBeyondReason_IsRefusedAtOnce) {
  expect_refused(run({"find", "timer", "x.toml", "--wish", "1e9 h"}), "allowed: more than 0 s up to");
  expect_refused(run({"find", "temper", "x.toml", "--wish", "1e9 HRC"}), "20 HRC to 68 HRC");
  expect_refused(run({"find", "cool-to", "x.toml", "--wish", "300 %"}), "allowed: 0 % to 100 %");
}

// Escape codes, C1 controls, changes of direction and code points that are no characters, in a title, in
// names of stations and records and in what is typed.
TEST_F(Faults, ControlCharactersOfACase_NeverReachTheTerminal) {
  const std::string bad = "\\u001b[31mred\\u0007\\u009b2J\\u0085\\u202edlrow\\u2066\\ufffe\\uffff";
  write_file(folder.path() / "x.toml", small_case(bad));
  write_file(folder.path() / "y.toml", small_case("y" + bad, "O2"));
  std::string steel = read_file(TQ_SOURCE_DIR "/materials/steels/O1.toml");
  const std::size_t name = steel.find("designation = \"");
  ASSERT_NE(name, std::string::npos);
  steel.insert(name + 15, bad);
  write_file(folder.path() / "own.toml", steel);
  write_file(folder.path() / "plan.toml",
             "format = 1\ntitle = \"" + bad +
                 "</title><script>\"\ncase = \"x.toml\"\nfigures = [\"hardness_tempered\"]\n" +
                 "[[axis]]\nkey = \"blade.spine\"\nvalues = [\"3 mm\", \"3.5 mm\"]\n");
  for (const std::vector<std::string>& line :
       {std::vector<std::string>{"check", "x.toml"},
        {"check", "--json", "x.toml"},
        {"stock", "--gaps", "./own.toml"},
        {"ask", "./own.toml"},
        {"what-if", "x.toml"},
        {"compare", "x.toml", "--oils", "fast-oil,medium-oil"},
        {"differ", "x.toml", "y.toml"},
        {"explain", "x.toml", "--quenched", "spine 50 HRC"},
        {"find", "timer", "x.toml"},
        {"jominy", "./own.toml", "--draw", "out/bar.svg"},
        {"note", "x.toml", "--shop", "shop.toml", "--blade", "a\x1b[31m\xc2\x9b\xe2\x80\xae"},
        {"shop"},
        {"sweep", "plan.toml", "-o", "out/sweep.h5"},
        {"map", "out/sweep.h5", "--x", "blade.spine", "--figure", "hardness_tempered"},
        {"harden", "x.toml", "--no-bands", "--no-what-if"}}) {
    SCOPED_TRACE(line[0]);
    const Outcome outcome = run(line);
    EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
    EXPECT_TRUE(harmless(outcome.out)) << outcome.out;
    EXPECT_TRUE(harmless(outcome.err));
  }
  for (const char* page : {"out/x.html", "out/x_sheet.html", "out/x.svg", "out/x.xmf", "out/bar.svg",
                           "out/sweep.svg", "out/sweep.html"})
    EXPECT_TRUE(harmless(read_file(folder.path() / page))) << page;
  for (const char* page : {"out/sweep.svg", "out/sweep.html"})
    EXPECT_EQ(read_file(folder.path() / page).find("</title><script>"), std::string::npos) << page;
  EXPECT_TRUE(harmless(run({"check", "\x1b[31m\xc2\x9b.toml"}).err));
}

TEST_F(Faults, ResolvedCaseWithControlCharacters_ReadsBackToItself) {
  write_file(folder.path() / "x.toml", small_case("a\\u001b\\u009b\\u202e\\ufffe\\U0001ffff\\u2028z"));
  const Outcome first = run({"check", "x.toml"});
  write_file(folder.path() / "y.toml", first.out);
  const auto title = [](const std::string& text) {
    const std::size_t at = text.find("title = ");
    return text.substr(at, text.find('\n', at) - at);
  };
  EXPECT_NE(title(first.out).find("\\U0001ffff"), std::string::npos) << title(first.out);
  EXPECT_EQ(title(run({"check", "y.toml"}).out), title(first.out));
}

TEST_F(Faults, LargeText_IsRefusedAtOnce) {
  std::string text = small_case("large");
  while (text.size() < 1'000'000)
    text += "# " + std::string(70, 'x') + "\n";
  write_file(folder.path() / "x.toml", text);
  expect_refused(run({"check", "x.toml"}), "larger than 200 kB");
}

// Killed at a random moment while it replaces results of another run, the set is the old or the new one.
// A furnace read in the wrong unit: below Ac1 nothing turns, so nothing passes and no figure is infinite.
TEST_F(Faults, BladeThatNeverBecameAustenite_FailsWithoutInfiniteFigures) {
  const std::vector<std::string> cold{"harden",     "x.toml",    "--set", "furnace.setpoint=600 degC",
                                      "--no-bands", "--no-files"};
  for (const char* how : {"-q", "--full"}) {
    std::vector<std::string> arguments = cold;
    arguments.push_back(how);
    const Outcome said = run(arguments);
    ASSERT_EQ(said.exit_code, 0) << said.err;
    EXPECT_NE(said.out.find("quench FAIL"), std::string::npos) << said.out;
    for (const char* none : {"inf ", "nan", "-inf", "PASS, hardness", "quench PASS"})
      EXPECT_EQ(said.out.find(none), std::string::npos) << none << " in\n" << said.out;
  }
}

// What takes hours is said before it begins; the run is ended as soon as it has spoken.
TEST_F(Faults, WorkOfManyMinutes_IsForetold) {
  const Outcome said = shell("\"$PROGRAM\" harden x.toml --set 'temper.time=100 h' --set 'temper.swing=5 K' "
                             "--set 'temper.swing_period=1 s' --no-files -q > told 2>&1 & "
                             "while kill -0 $! && ! [ -s told ]; do sleep 0.05; done; kill $!; cat told");
  EXPECT_NE(said.out.find("minutes of processor time or more (30 x 4 intervals)"), std::string::npos)
      << said.out;
}

TEST_F(Faults, KilledAtRandomMoments_ResultsAreOldOrNewAndNothingIsLeftBehind) {
  const char* asked = std::getenv("TQ_KILLS");
  const int kills = asked ? std::atoi(asked) : 12;
  const auto start = [&] {
    const std::vector<std::string> words{TQ_PROGRAM, "harden", "x.toml", "-q"};
    const pid_t child = ::fork();
    if (child == 0) {
      if (::chdir(folder.path().c_str()) != 0)
        ::_exit(127);
      ::freopen("/dev/null", "w", stdout);
      ::execl(words[0].c_str(), words[0].c_str(), "harden", "x.toml", "-q", nullptr);
      ::_exit(127);
    }
    return child;
  };
  const auto begin = std::chrono::steady_clock::now();
  int status = 0;
  ::waitpid(start(), &status, 0);
  ASSERT_EQ(status, 0);
  const double whole_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  std::mt19937 bits(1);
  // Each file is put in its place whole; the files of a run follow one another within a fraction of a
  // millisecond, and only a kill just then leaves some old and some new.
  const std::vector<std::string> results{".json", ".html", "_sheet.html", ".h5", ".svg"};
  std::map<std::string, std::string> standing;
  for (const std::string& kind : results)
    standing[kind] = "first";
  int mixed = 0;
  for (int n = 0; n < kills; ++n) {
    const std::string title = "run number " + std::to_string(n);
    write_file(folder.path() / "x.toml", small_case(title));
    const pid_t child = start();
    std::this_thread::sleep_for(std::chrono::duration<double>(1.2 * whole_s * (bits() % 1000) / 1000));
    ::kill(child, SIGKILL);
    ::waitpid(child, &status, 0);
    std::size_t of_this_run = 0;
    for (const std::string& kind : results) {
      const std::string text = read_file(folder.path() / "out" / ("x" + kind));
      if (text.find(title) != std::string::npos) {
        standing[kind] = title;
        ++of_this_run;
      }
      EXPECT_NE(text.find(standing[kind]), std::string::npos) << kind << " after kill " << n;
    }
    mixed += of_this_run > 0 && of_this_run < results.size() ? 1 : 0;
    EXPECT_TRUE(nlohmann::json::accept(read_file(folder.path() / "out/x.json")));
  }
  EXPECT_LE(mixed, std::max(1, kills / 20));
  ASSERT_EQ(run({"harden", "x.toml", "-q"}).exit_code, 0);
  EXPECT_EQ(names("out").size(), kinds.size());
}

TEST_F(Faults, VerdictAsBadAsFailOn_Exits4WithItsFiles) {
  write_file(folder.path() / "x.toml", small_case("soft") + "[wish]\nhardness = [\"66 HRC\", \"67 HRC\"]\n");
  EXPECT_EQ(run({"harden", "x.toml", "-q"}).exit_code, 0);
  const Outcome outcome = run({"harden", "x.toml", "-q", "--fail-on", "fail"});
  EXPECT_EQ(outcome.exit_code, 4);
  EXPECT_NE(outcome.err.find("hardness is FAIL"), std::string::npos) << outcome.err;
  EXPECT_EQ(names("out").size(), kinds.size());
  expect_refused(run({"harden", "x.toml", "--fail-on", "never"}), "--fail-on");
}

TEST_F(Faults, HelpVersionAndNearMisses) {
  EXPECT_EQ(run({"help"}).out, run({"--help"}).out);
  EXPECT_EQ(run({"help", "harden"}).out, run({"harden", "--help"}).out);
  EXPECT_EQ(run({"-V"}).out, run({"--version"}).out);
  expect_refused(run({"harden", "x.toml", "--quite"}), "did you mean '--quiet'?");
  expect_refused(run({"harden", "x.toml", "--outptu=a"}), "did you mean '--output'?");
  expect_refused(run({"hepl"}), "did you mean 'help'?");
  expect_refused(run({"help", "hadren"}), "did you mean 'harden'?");
  expect_refused(run({"--shop", "a.toml", "hadren", "x.toml"}), "did you mean 'harden'?");
}
