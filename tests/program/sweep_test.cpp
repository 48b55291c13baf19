// sweep, join and map as a person meets them: parts that make the whole, kills at any moment, bad plans.
#include "run_command.hpp"

#include <gtest/gtest.h>

#include <csignal>
#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <random>
#include <string>
#include <sys/stat.h>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>
#include <vector>

namespace {

namespace fs = std::filesystem;
using namespace tq::test;

/// 60 small cases of which two cannot be read.
const std::string plan_text =
    "format = 1\ntitle = \"Sweep of a test\"\ncase = \"" + std::string(TQ_SOURCE_DIR) +
    "/cases/drop_point_o1.toml\"\nfigures = [\"hardness_tempered\", \"bath_end\"]\n"
    "[[axis]]\nkey = \"solver.along\"\nvalues = [16]\n"
    "[[axis]]\nkey = \"blade.spine\"\nfrom = \"2 mm\"\nto = \"4 mm\"\ncount = 3\n"
    "[[axis]]\nkey = \"bath.temperature\"\nvalues = [\"40 degC\", \"60 degC\"]\n"
    "[[axis]]\nkey = \"temper.oven\"\nfrom = \"180 degC\"\nto = \"260 degC\"\ncount = 10\n";

class Sweep : public ::testing::Test {
 protected:
  Sweep() { write_file(file("plan.toml"), plan_text); }
  std::string file(const std::string& name) const { return (folder_.path() / name).string(); }
  Outcome sweep(std::vector<std::string> more = {}) const {
    std::vector<std::string> words{"sweep", "plan.toml", "-q"};
    words.insert(words.end(), more.begin(), more.end());
    return thinquench(words, {}, folder_.path());
  }
  const TemporaryFolder folder_;
};

/// What h5py sees of both files is the same, provenance apart.
int same_by_h5py(const std::string& a, const std::string& b) {
  const std::string script = "import h5py,sys\n"
                             "a,b=h5py.File(sys.argv[1]),h5py.File(sys.argv[2])\n"
                             "assert a.keys()==b.keys()\n"
                             "for k in a:\n"
                             "  if k in ('provenance',): continue\n"
                             "  x,y=a[k][()],b[k][()]\n"
                             "  assert a[k].shape==b[k].shape\n"
                             "  assert (x.tolist()==y.tolist() if a[k].dtype==object and a[k].shape else "
                             "x==y if a[k].dtype==object else "
                             "x.tobytes()==y.tobytes()), k\n";
  const Outcome o = run_command({"/usr/bin/python3", {"-c", script, a, b}, {}, "", {}, "", 0, false, 0});
  return o.exit_code == 0 ? 0 : (ADD_FAILURE() << o.err, 1);
}

/// A file of rows whose head says something else, with the checksum that belongs to it (FNV-1a).
std::string with_false_head(const std::string& rows, const std::string& from, const std::string& to) {
  const std::size_t magic = rows.find('\n') + 1, frame = 8;
  std::uint32_t size = 0;
  std::memcpy(&size, rows.data() + magic, sizeof size);
  const std::size_t was = size;
  std::string head = rows.substr(magic + frame, size);
  const std::size_t at = head.find(from);
  if (at == std::string::npos)
    ADD_FAILURE() << from << " stands nowhere in " << head;
  else
    head.replace(at, from.size(), to);
  std::uint32_t sum = 2166136261U;
  for (const char c : head)
    sum = (sum ^ static_cast<unsigned char>(c)) * 16777619U;
  size = static_cast<std::uint32_t>(head.size());
  std::string out = rows.substr(0, magic);
  out.append(reinterpret_cast<const char*>(&size), sizeof size);
  out.append(reinterpret_cast<const char*>(&sum), sizeof sum);
  return out + head + rows.substr(magic + frame + was);
}

TEST_F(Sweep, EightShardsJoined_HoldWhatOneRunHolds) {
  ASSERT_EQ(sweep().exit_code, 0);
  std::vector<std::string> words{"join", "joined.h5"};
  for (int k = 1; k <= 8; ++k) {
    const std::string shard = std::to_string(k) + "/8";
    ASSERT_EQ(sweep({"--shard", shard, "--threads", std::to_string(1 + k % 3)}).exit_code, 0) << shard;
    words.push_back("plan." + std::to_string(k) + "of8.rows");
  }
  EXPECT_EQ(thinquench(words, {}, folder_.path()).exit_code, 0);
  EXPECT_EQ(same_by_h5py(file("plan.h5"), file("joined.h5")), 0);
  words.erase(words.begin() +
              2); // the first part; the last has no cases, as six quenches are not cut for eight
  words[1] = "partly.h5";
  expect_refused(thinquench(words, {}, folder_.path()), "are in none of these parts");
  words.push_back("--partly");
  EXPECT_EQ(thinquench(words, {}, folder_.path()).exit_code, 0);
}

TEST_F(Sweep, Set_IsLaidOnTheBaseCase) {
  // the same as an axis of one value; the plan file stays
  ASSERT_EQ(sweep({"--set", "temper.time=90 min", "-o", "set.h5"}).exit_code, 0);
  write_file(file("plan.toml"), plan_text + "[[axis]]\nkey = \"temper.time\"\nvalues = [\"90 min\"]\n");
  ASSERT_EQ(sweep({"-o", "axis.h5"}).exit_code, 0);
  const std::string script =
      "import h5py,numpy\n"
      "a,b=(h5py.File(f)['hardness_tempered'][()].ravel() for f in ('set.h5','axis.h5'))\n"
      "assert numpy.array_equal(a,b,equal_nan=True)";
  EXPECT_EQ(
      run_command({"/usr/bin/python3", {"-c", script}, {}, "", folder_.path(), "", 0, false, 0}).exit_code,
      0);
  expect_refused(sweep({"--set", "temper.time=2 h", "-o", "twice.h5"}), "is what the plan changes");
  expect_refused(sweep({"--set", "temper.hours=2 h"}), "temper");
}

TEST_F(Sweep, KilledTwentyTimes_EveryCaseIsThereOnceAndTheSame) {
  ASSERT_EQ(sweep({"-o", "calm.h5"}).exit_code, 0);
  std::mt19937 random(20);
  int killed = 0;
  for (int k = 0; k < 20; ++k) {
    const pid_t child = ::fork();
    ASSERT_GE(child, 0);
    if (child == 0) {
      if (::chdir(folder_.path().c_str()) != 0)
        std::_Exit(9);
      ::execl(TQ_PROGRAM, "thinquench", "sweep", "plan.toml", "-q", "-o", "rough.h5", "--keep-rows", nullptr);
      std::_Exit(9);
    }
    std::this_thread::sleep_for(std::chrono::milliseconds(20 + random() % 400));
    ::kill(child, SIGKILL);
    int status = 0;
    ::waitpid(child, &status, 0);
    killed += WIFSIGNALED(status) ? 1 : 0;
  }
  EXPECT_GT(killed, 0);
  ASSERT_EQ(sweep({"-o", "rough.h5", "--keep-rows"}).exit_code, 0);
  EXPECT_EQ(same_by_h5py(file("calm.h5"), file("rough.h5")), 0);
  // a record of frame 8, number and state 16, values 8 each: every case once and nothing else behind the head
  const std::string rows = read_file(file("rough.rows"));
  constexpr std::size_t record = 8 + 16 + 8 * (4 + 1 + 3), cases = 60;
  ASSERT_GT(rows.size(), record * cases);
  std::vector<int> seen(cases, 0);
  for (std::size_t k = 0; k < cases; ++k) {
    const std::size_t at = rows.size() - (k + 1) * record + 8;
    ++seen.at(static_cast<unsigned char>(rows[at]));
  }
  EXPECT_EQ(seen, std::vector<int>(cases, 1));
}

TEST_F(Sweep, CtrlC_KeepsWhatIsDoneAndGoesOn) {
  // of a hundred times the tempers, so that it is not done when the first tenth is told
  const std::string few = "count = 10\n";
  std::string text = plan_text;
  text.replace(text.rfind(few), few.size(), "count = 1000\n");
  write_file(file("plan.toml"), text);
  Request many{TQ_PROGRAM, {"sweep", "plan.toml"}, {}, "", folder_.path(), "", 0, false, 0};
  many.signal = SIGINT; // sent with the first line of progress
  const Outcome stopped = run_command(many);
  EXPECT_EQ(stopped.exit_code, 130);
  EXPECT_NE(stopped.err.find("of 6000 cases are kept in plan.rows, the same command goes on"),
            std::string::npos)
      << stopped.err;
  EXPECT_FALSE(fs::exists(file("plan.h5")));
  EXPECT_TRUE(fs::exists(file("plan.rows")));
  const Outcome on = thinquench({"sweep", "plan.toml"}, {}, folder_.path());
  EXPECT_EQ(on.exit_code, 0);
  EXPECT_NE(on.err.find("of 6000 cases are there, going on"), std::string::npos) << on.err;
  ASSERT_EQ(sweep({"-o", "calm.h5"}).exit_code, 0);
  EXPECT_EQ(same_by_h5py(file("calm.h5"), file("plan.h5")), 0);
}

TEST_F(Sweep, DoneTwice_DoesNothing_AndOtherPlansAreKeptOut) {
  ASSERT_EQ(sweep().exit_code, 0);
  const std::string before = read_file(file("plan.h5"));
  const Outcome again = thinquench({"sweep", "plan.toml"}, {}, folder_.path());
  EXPECT_EQ(again.exit_code, 0);
  EXPECT_NE(again.out.find("nothing to do"), std::string::npos) << again.out;
  write_file(file("plan.toml"), plan_text + "values_of_another = 1\n");
  expect_refused(sweep(), "unknown key");
  write_file(file("plan.toml"), plan_text + "# another\n");
  expect_refused(sweep(), "is of another plan");
  EXPECT_EQ(read_file(file("plan.h5")), before);
  ASSERT_EQ(sweep({"--shard", "1/2", "-o", "other.h5"}).exit_code, 0);
  write_file(file("plan.toml"), plan_text);
  expect_refused(sweep({"--shard", "1/2", "-o", "other.h5"}), "belongs to another plan");
}

TEST_F(Sweep, FailedCases_CarryTheirMessageAndStopNothing) {
  // each value is right with the first of the other axis, but not with the last: colder than the bath
  write_file(file("plan.toml"),
             "format = 1\ncase = \"" + std::string(TQ_SOURCE_DIR) +
                 "/cases/drop_point_o1.toml\"\nfigures = [\"bath_end\"]\n"
                 "[[axis]]\nkey = \"solver.along\"\nvalues = [16]\n"
                 "[[axis]]\nkey = \"bath.temperature\"\nvalues = [\"40 degC\", \"100 degC\"]\n"
                 "[[axis]]\nkey = \"bath.out_at\"\nvalues = [\"150 degC\", \"90 degC\"]\n");
  const Outcome o = thinquench({"sweep", "plan.toml", "--csv", "t.csv"}, {}, folder_.path());
  ASSERT_EQ(o.exit_code, 0) << o.err;
  EXPECT_NE(o.out.find("1 failed"), std::string::npos) << o.out;
  const std::string table = read_file(file("t.csv"));
  EXPECT_NE(table.find("3,failed,"), std::string::npos) << table;
  EXPECT_NE(table.find("not above the bath"), std::string::npos) << table;
}

TEST_F(Sweep, BadPlansAndPlaces_GiveOneLine) {
  expect_refused(sweep({"--shop", "shop.toml"}), "a sweep takes no journal");
  write_file(file("plan.toml"), plan_text + "[[axis]]\nkey = \"bath.temprature\"\nvalues = [\"40 degC\"]\n");
  expect_refused(sweep(), "did you mean \"temperature\"?");
  write_file(file("plan.toml"), plan_text);
  expect_refused(sweep({"--shard", "9/8"}), "--shard");
  expect_refused(sweep({"-o", "/proc/none/x.h5"}), "--output");
  expect_refused(thinquench({"join", "j.h5", "plan.toml"}, {}, folder_.path()), "is no file of rows");
  expect_refused(thinquench({"map", "plan.toml", "--x", "a", "--figure", "b"}, {}, folder_.path()),
                 "no HDF5 file");
  EXPECT_FALSE(fs::exists(file("plan.h5")));
}

TEST_F(Sweep, FullDisk_KeepsWhatIsThere) {
  const Outcome o =
      run_command({"/bin/sh",
                   {"-c", "ulimit -f 20; exec " + std::string(TQ_PROGRAM) + " sweep plan.toml -q"},
                   {},
                   "",
                   folder_.path(),
                   "",
                   0,
                   false,
                   0});
  EXPECT_EQ(o.exit_code, 1);
  EXPECT_EQ(line_count(o.err), 1) << o.err;
  EXPECT_NE(o.err.find("cannot write"), std::string::npos) << o.err;
  EXPECT_EQ(sweep().exit_code, 0);
  ASSERT_EQ(sweep({"-o", "calm.h5"}).exit_code, 0);
  EXPECT_EQ(same_by_h5py(file("calm.h5"), file("plan.h5")), 0);
}

TEST_F(Sweep, ThreeLinesOfPython_ReadAFigureWithItsAxes) {
  ASSERT_EQ(sweep().exit_code, 0);
  const Outcome o =
      run_command({"/usr/bin/python3",
                   {"-c", "import h5py\nf = h5py.File('plan.h5')\n"
                          "print(f['hardness_tempered'].shape, f['hardness_tempered'].dims[3][0][:], "
                          "f['bath_end'].attrs['units'])\n"},
                   {},
                   "",
                   folder_.path(),
                   "",
                   0,
                   false,
                   0});
  EXPECT_EQ(o.exit_code, 0) << o.err;
  EXPECT_NE(o.out.find("(1, 3, 2, 10, 4)"), std::string::npos) << o.out;
  EXPECT_NE(o.out.find("180."), std::string::npos) << o.out;
  EXPECT_NE(o.out.find("degC"), std::string::npos) << o.out;
}

TEST_F(Sweep, Map_DrawsContoursLimitsAndUnits) {
  ASSERT_EQ(sweep().exit_code, 0);
  const Outcome o = thinquench({"map", "plan.h5", "--x", "temper.oven", "--y", "blade.spine", "--figure",
                                "hardness_tempered", "--at", "bath.temperature=60 degC", "-o", "wall.svg"},
                               {}, folder_.path());
  ASSERT_EQ(o.exit_code, 0) << o.err;
  const std::string svg = read_file(file("wall.svg")), html = read_file(file("wall.html"));
  for (const char* part :
       {"blade.spine [mm]", "temper.oven [", "[HRC]", "bath.temperature = 60", "limits of verdicts"})
    EXPECT_NE(svg.find(part), std::string::npos) << part;
  EXPECT_NE(html.find("<table>"), std::string::npos);
  expect_refused(
      thinquench({"map", "plan.h5", "--x", "temper.ovn", "--figure", "bath_end"}, {}, folder_.path()),
      "did you mean 'temper.oven'?");
  expect_refused(thinquench({"map", "plan.h5", "--x", "temper.oven", "--figure", "bath"}, {}, folder_.path()),
                 "it has hardness_tempered, bath_end");
}

// Parts come from other machines: what a head says of axes and columns is not believed beyond the end of the
// file.
TEST_F(Sweep, PartWithAFalseHead_IsRefused) {
  write_file(file("plan.toml"), plan_text);
  ASSERT_EQ(sweep({"--keep-rows"}).exit_code, 0);
  const std::string rows = read_file(file("plan.rows"));
  const auto join = [&] {
    return thinquench({"join", "joined.h5", "part.rows", "--partly", "--csv", "joined.csv"}, {},
                      folder_.path());
  };
  write_file(file("part.rows"), with_false_head(rows, "\"cases\":60", "\"cases\":60"));
  EXPECT_EQ(join().exit_code, 0);
  fs::remove(file("joined.h5"));
  for (const auto& [from, to] :
       {std::pair<const char*, const char*>{"\"cases\":60", "\"cases\":6000000000000000"},
        {"\"cases\":60", "\"cases\":70"},
        {"\\\"size\\\":3", "\\\"size\\\":3000000"},
        {"\\\"size\\\":10", "\\\"size\\\":0"},
        {"\\\"first\\\":4", "\\\"first\\\":100000000"},
        {"\\\"zones\\\":[", "\\\"zones\\\":[\\\"a\\\",\\\"b\\\",\\\"c\\\",\\\"d\\\",\\\"e\\\","}}) {
    SCOPED_TRACE(to);
    write_file(file("part.rows"), with_false_head(rows, from, to));
    expect_refused(join(), "part.rows");
    EXPECT_FALSE(fs::exists(file("joined.h5")));
  }
  ASSERT_EQ(::mkfifo(file("fifo.rows").c_str(), 0666), 0);
  expect_refused(thinquench({"join", "joined.h5", "fifo.rows"}, {}, folder_.path()), "no file of rows");
}

// One byte after the other, through the whole file: drawn all the same, or refused with the name of the file.
TEST_F(Sweep, DamagedResult_IsRefusedWithItsName) {
  write_file(file("plan.toml"), plan_text);
  ASSERT_EQ(sweep({"-o", "whole.h5"}).exit_code, 0);
  const std::string whole = read_file(file("whole.h5"));
  int refused = 0;
  for (std::size_t at = 0; at < whole.size(); at += whole.size() / 20) {
    std::string damaged = whole;
    for (std::size_t i = at; i < std::min(at + 40, damaged.size()); ++i)
      damaged[i] = static_cast<char>(damaged[i] ^ 0x5A);
    write_file(file("damaged.h5"), damaged);
    const Outcome o =
        thinquench({"map", "damaged.h5", "--x", "blade.spine", "--figure", "hardness_tempered", "-q"}, {},
                   folder_.path());
    if (o.exit_code == 0)
      continue;
    ++refused;
    expect_refused(o, "damaged.h5");
  }
  EXPECT_GT(refused, 0);
}

} // namespace
