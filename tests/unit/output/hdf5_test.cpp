#include "layout.hpp"
#include "output/files/files.hpp"
#include "output/files/hdf5_writer.hpp"
#include "sample.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <map>
#include <set>
#include <sstream>
#include <string>
#include <thread>
#include <vector>

namespace {

using tq::test::DatasetLayout;
using tq::test::numbers_of;
using tq::test::Sample;
using tq::test::TemporaryFolder;
using tq::test::texts_of;
namespace fs = std::filesystem;

fs::path written(const TemporaryFolder& folder, const Sample& s, const std::string& name = "r.h5",
                 const tq::output::Extras& extras = {}) {
  const fs::path path = folder.path() / name;
  tq::output::PendingFile file(path);
  file.write(tq::output::hdf5_bytes(s.c, s.runs, s.answers,
                                    tq::output::describe_origin(s.c, s.runs, s.answers, s.info), extras));
  file.commit();
  return path;
}

void expect_documented(const fs::path& file, const std::set<std::string>& conditions) {
  std::map<std::string, std::vector<std::string>> documented;
  for (const auto& row : tq::test::format_table_of_figures("HDF5 datasets")) {
    ASSERT_EQ(row.size(), 6U) << row[0];
    ASSERT_TRUE(documented.emplace(row[0], row).second) << row[0] << " stands twice";
  }
  std::set<std::string> seen;
  for (const DatasetLayout& d : tq::test::datasets_of(file)) {
    const std::string path = tq::test::general_path(d.path);
    const auto row = documented.find(path);
    ASSERT_NE(row, documented.end()) << d.path << " is not documented";
    EXPECT_EQ(d.type, row->second[1]) << d.path;
    EXPECT_EQ(d.axes, row->second[2]) << d.path;
    EXPECT_EQ(d.units, row->second[3]) << d.path;
    EXPECT_EQ(d.long_name, row->second[4]) << d.path;
    EXPECT_EQ(d.dims.size(), static_cast<std::size_t>(
                                 d.axes.empty() ? 0 : 1 + std::count(d.axes.begin(), d.axes.end(), ' ')))
        << d.path;
    if (d.units == "degC") {
      EXPECT_EQ(d.units_metadata, "temperature: on_scale") << d.path;
    }
    seen.insert(path);
  }
  for (const auto& [path, row] : documented) {
    bool due = true;
    std::istringstream list(row[5]);
    for (std::string word; list >> word;) {
      if (word.back() == ',')
        word.pop_back();
      due = due && (word == "always" || conditions.contains(word));
    }
    EXPECT_EQ(seen.contains(path), due) << path << " (" << row[5] << ")";
  }
}

TEST(Output_Hdf5, FullCase_HoldsExactlyWhatTheFormatPageSays) {
  const TemporaryFolder folder;
  expect_documented(written(folder, tq::test::full_sample()), {"steel", "furnace", "probes"});
}

TEST(Output_Hdf5, BandsAndRisks_StandBesideTheFiguresTheyBelongTo) {
  const TemporaryFolder folder;
  Sample s = tq::test::full_sample();
  tq::answers::Bands bands;
  bands.members = 64;
  bands.hardness = {tq::answers::Verdict::marginal, 0.7, 0.1, {}};
  tq::answers::StationBands station;
  station.hardness = bands.hardness;
  tq::answers::Band timer, hardness;
  timer.key = "timer_from_door";
  timer.low = 1500;
  timer.middle = 1700;
  timer.high = 2000;
  hardness.key = "hardness_tempered";
  hardness.low = 60;
  hardness.middle = 61;
  hardness.high = 62.5;
  station.figures = {timer};
  station.zones[2].figures = {hardness};
  bands.stations = {station};
  tq::answers::Risks risks;
  risks.bow = {tq::answers::Verdict::marginal, "1.2 mm"};
  risks.crack.crack = {tq::answers::Verdict::fail, "a sharp corner"};
  risks.stations.resize(1);
  risks.stations[0].bow_m = 1.2e-3;
  risks.stations[0].low_m = 0.8e-3;
  risks.stations[0].high_m = 1.6e-3;
  s.answers = tq::answers::judged_by(s.answers, bands);
  const fs::path file = written(folder, s, "r.h5", {&bands, nullptr, &risks});
  expect_documented(file, {"steel", "furnace", "probes", "draws", "risks", "bow"});
  EXPECT_EQ(numbers_of(file, "/station_1/answers/bands/timer_from_door"),
            (std::vector<double>{1500, 1700, 2000}));
  const std::vector<double> zones = numbers_of(file, "/station_1/answers/zones/bands/hardness_tempered");
  ASSERT_EQ(zones.size(), 12U);
  EXPECT_EQ(zones[7], 61);
  EXPECT_TRUE(std::isnan(zones[0])) << "no draws of the edge";
  EXPECT_EQ(texts_of(file, "/answers/hardness_verdict")[0], "marginal") << "70 % of the draws";
  EXPECT_EQ(texts_of(file, "/answers/hardness_as_stated")[0], "pass");
  EXPECT_DOUBLE_EQ(numbers_of(file, "/answers/hardness_passing")[0], 0.7);
  EXPECT_EQ(texts_of(file, "/answers/crack_verdict")[0], "fail");
  EXPECT_EQ(numbers_of(file, "/station_1/answers/bow_band"), (std::vector<double>{0.8e-3, 1.6e-3}));
}

TEST(Output_Hdf5, InertOneStage_HoldsExactlyWhatTheFormatPageSays) {
  const TemporaryFolder folder;
  expect_documented(written(folder, tq::test::bare_sample()), {});
}

TEST(Output_Hdf5, RootAttributes_AreThoseOfTheFormatPage) {
  const TemporaryFolder folder;
  const auto attributes = tq::test::root_attributes_of(written(folder, tq::test::full_sample()));
  std::set<std::string> documented;
  for (const auto& row : tq::test::format_table("HDF5 attributes of the file"))
    documented.insert(row[0]);
  std::set<std::string> names;
  for (const auto& [name, value] : attributes)
    names.insert(name);
  EXPECT_EQ(names, documented);
  EXPECT_EQ(attributes.at("schema"), "thinquench-result");
  EXPECT_EQ(attributes.at("schema_version"), "2");
  EXPECT_EQ(attributes.at("title"), "Pocket knife <no. 7> & sheath");
}

TEST(Output_Hdf5, HalfSection_IsMirroredToTheWhole) {
  const TemporaryFolder folder;
  const Sample s = tq::test::full_sample();
  const fs::path file = written(folder, s);
  const auto& grid = s.runs[0].grid;
  const std::size_t ni = static_cast<std::size_t>(grid.nx), nj = static_cast<std::size_t>(2 * grid.ny - 1);
  const std::vector<double> x = numbers_of(file, "/station_1/grid/x"),
                            y = numbers_of(file, "/station_1/grid/y");
  const std::vector<double> T = numbers_of(file, "/station_1/final/temperature");
  ASSERT_EQ(y.size(), ni * nj);
  for (std::size_t j = 0; j < nj; ++j)
    for (std::size_t i = 0; i < ni; ++i) {
      EXPECT_EQ(x[j * ni + i], grid.x[i]);
      EXPECT_EQ(y[j * ni + i], -y[(nj - 1 - j) * ni + i]);
      EXPECT_EQ(T[j * ni + i], T[(nj - 1 - j) * ni + i]);
    }
  EXPECT_DOUBLE_EQ(y[(nj - 1) * ni], grid.top[0]);
  EXPECT_EQ(y[(nj / 2) * ni], 0);
  const std::size_t upper = (nj - 1) * ni + 7, solved = static_cast<std::size_t>(grid.ny - 1) * ni + 7;
  EXPECT_EQ(T[upper], s.runs[0].final_state.temperature[solved]);
}

TEST(Output_Hdf5, WholeSection_IsWrittenAsSolved) {
  const TemporaryFolder folder;
  const Sample s = tq::test::bare_sample();
  const fs::path file = written(folder, s);
  EXPECT_EQ(numbers_of(file, "/station_1/final/temperature"), s.runs[0].final_state.temperature);
  EXPECT_DOUBLE_EQ(numbers_of(file, "/station_1/grid/y")[0], s.runs[0].grid.bottom[0]);
}

TEST(Output_Hdf5, FrameViews_ShowTheFramesOfTheField) {
  const TemporaryFolder folder;
  const Sample s = tq::test::full_sample();
  const fs::path file = written(folder, s);
  for (const std::string& quantity : tq::output::frame_quantities(s.c, s.runs[0])) {
    const std::vector<double> all = numbers_of(file, "/station_1/fields/" + quantity);
    std::vector<double> joined;
    for (std::size_t t = 0; t < s.runs[0].frames.size(); ++t) {
      const std::vector<double> frame =
          numbers_of(file, "/xdmf/station_1/" + tq::output::frame_view(quantity, t));
      joined.insert(joined.end(), frame.begin(), frame.end());
    }
    EXPECT_EQ(joined, all) << quantity;
  }
}

TEST(Output_Hdf5, FrameViews_SurviveARename) {
  const TemporaryFolder folder;
  const fs::path before = written(folder, tq::test::full_sample(), ".r.h5.part");
  const fs::path after = folder.path() / "r.h5";
  fs::rename(before, after);
  const std::vector<double> T = numbers_of(after, "/xdmf/station_1/temperature_00001");
  EXPECT_NEAR(*std::max_element(T.begin(), T.end()), 800, 1);
}

TEST(Output_Hdf5, TextsAndNaN_ComeBackAsTheyWere) {
  const TemporaryFolder folder;
  const Sample s = tq::test::full_sample();
  const fs::path file = written(folder, s);
  EXPECT_EQ(texts_of(file, "/provenance/case_text"), (std::vector<std::string>{s.c.source_text}));
  EXPECT_EQ(texts_of(file, "/station_1/zones/name"),
            (std::vector<std::string>{"edge", "middle", "spine", "thickest"}));
  EXPECT_TRUE(std::isnan(numbers_of(file, "/station_1/answers/zones/time_800_to_500")[0]));
  EXPECT_EQ(texts_of(file, "/provenance/records/record")[0], "steel O1");
  EXPECT_EQ(texts_of(file, "/answers/quench_verdict")[0], "marginal");
  EXPECT_EQ(numbers_of(file, "/station_1/answers/zones/in_air").size(), 16U);
}

TEST(Output_Hdf5, Traces_StandSideBySide) {
  const TemporaryFolder folder;
  const Sample s = tq::test::full_sample();
  const std::vector<double> T = numbers_of(written(folder, s), "/station_1/zones/temperature");
  ASSERT_EQ(T.size(), 4 * s.runs[0].time_s.size());
  EXPECT_EQ(T[4 * 10 + 2], s.runs[0].zones[2].temperature[10]);
}

TEST(Output_Hdf5, TwoStations_HaveAGroupEach) {
  const TemporaryFolder folder;
  Sample s = tq::test::full_sample();
  s.runs.push_back(s.runs[0]);
  s.answers.stations.push_back(s.answers.stations[0]);
  const fs::path file = written(folder, s);
  EXPECT_EQ(numbers_of(file, "/station_2/fields/time"), numbers_of(file, "/station_1/fields/time"));
  expect_documented(file, {"steel", "furnace", "probes"});
}

TEST(Output_Hdf5, SourceDateEpoch_GivesTheSameBytes) {
  const tq::test::EnvironmentGuard guard("SOURCE_DATE_EPOCH", "1700000000");
  const TemporaryFolder folder;
  Sample s = tq::test::full_sample();
  const std::string first = tq::test::file_text(written(folder, s, "a.h5"));
  s.info.wall_s *= 2;
  s.runs[0].solver_seconds *= 2;
  std::this_thread::sleep_for(std::chrono::milliseconds(1100)); // time stamps in HDF5 are whole seconds
  EXPECT_TRUE(first == tq::test::file_text(written(folder, s, "b.h5")));
}

} // namespace
