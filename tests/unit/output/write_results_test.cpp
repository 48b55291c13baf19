#include "layout.hpp"
#include "output/files/write_results.hpp"
#include "output/files/xdmf_writer.hpp"
#include "output/picture.hpp"
#include "sample.hpp"
#include "well_formed.hpp"

#include <gtest/gtest.h>

#include <limits>
#include <map>
#include <regex>
#include <set>
#include <sstream>
#include <string>
#include <vector>

namespace {

using tq::test::file_text;
using tq::test::Sample;
using tq::test::TemporaryFolder;
namespace fs = std::filesystem;

std::vector<fs::path> written(const TemporaryFolder& folder, const Sample& s) {
  return tq::output::write_results(s.c, s.runs, s.answers, folder.path() / "out", "knife", s.info);
}

std::set<std::string> names_in(const fs::path& folder) {
  std::set<std::string> names;
  for (const auto& entry : fs::directory_iterator(folder))
    names.insert(entry.path().filename());
  return names;
}

void expect_views_exist(const fs::path& xmf) {
  const std::string text = file_text(xmf);
  EXPECT_EQ(tq::test::xml_fault(text), "");
  static const std::regex item("<DataItem Dimensions=\"([0-9 ]+)\"[^>]*>([^:<]+):([^<]+)</DataItem>");
  std::map<std::string, std::map<std::string, std::string>> files;
  int count = 0;
  for (std::sregex_iterator it(text.begin(), text.end(), item), end; it != end; ++it, ++count) {
    const std::string file = (*it)[2], path = (*it)[3], shape = (*it)[1];
    if (!files.contains(file))
      for (const auto& d : tq::test::datasets_of(xmf.parent_path() / file)) {
        std::ostringstream dims;
        for (std::size_t k = 0; k < d.dims.size(); ++k)
          dims << (k > 0 ? " " : "") << d.dims[k];
        files[file][d.path] = dims.str();
      }
    ASSERT_TRUE(files[file].contains(path)) << path;
    EXPECT_EQ(files[file][path], shape) << path;
  }
  EXPECT_GT(count, 0);
  EXPECT_EQ(files.size(), 1U);
}

TEST(Output_Results, FullCase_WritesItsFilesAndNothingElse) {
  const TemporaryFolder folder;
  const auto paths = written(folder, tq::test::full_sample());
  const std::set<std::string> wanted = {"knife.h5",   "knife.html", "knife_sheet.html",
                                        "knife.json", "knife.svg",  "knife.xmf"};
  EXPECT_EQ(names_in(folder.path() / "out"), wanted);
  ASSERT_EQ(paths.size(), wanted.size());
  EXPECT_EQ(paths[0].filename(), "knife.svg");
  for (const fs::path& path : paths)
    EXPECT_TRUE(fs::exists(path)) << path;
}

TEST(Output_Results, XdmfReferences_ExistWithTheirShape) {
  const TemporaryFolder folder;
  written(folder, tq::test::full_sample());
  expect_views_exist(folder.path() / "out" / "knife.xmf");
  const std::string text = file_text(folder.path() / "out" / "knife.xmf");
  EXPECT_NE(text.find("2DSMesh\" Dimensions=\"5 31\""), std::string::npos);
  EXPECT_NE(text.find("Center=\"Node\""), std::string::npos);
  std::size_t frames = 0;
  for (std::size_t at = 0; (at = text.find("<Time ", at)) != std::string::npos; ++at)
    ++frames;
  EXPECT_EQ(frames, tq::test::full_sample().runs[0].frames.size());
}

TEST(Output_Results, SeveralStations_HaveADrawingAndAnXdmfEach) {
  const TemporaryFolder folder;
  Sample s = tq::test::full_sample();
  s.runs.push_back(s.runs[0]);
  s.answers.stations.push_back(s.answers.stations[0]);
  written(folder, s);
  const std::set<std::string> wanted = {"knife.h5",
                                        "knife.html",
                                        "knife_sheet.html",
                                        "knife.json",
                                        "knife_station_1.svg",
                                        "knife_station_1.xmf",
                                        "knife_station_2.svg",
                                        "knife_station_2.xmf"};
  EXPECT_EQ(names_in(folder.path() / "out"), wanted);
  expect_views_exist(folder.path() / "out" / "knife_station_2.xmf");
}

TEST(Output_Results, InertOneStage_WritesWholeFiles) {
  const TemporaryFolder folder;
  written(folder, tq::test::bare_sample());
  expect_views_exist(folder.path() / "out" / "knife.xmf");
  EXPECT_EQ(tq::test::xml_fault(file_text(folder.path() / "out" / "knife.svg")), "");
}

TEST(Output_Results, FailureOnTheWay_LeavesEarlierResultsWhole) {
  const TemporaryFolder folder;
  Sample s = tq::test::full_sample();
  written(folder, s);
  std::map<std::string, std::string> before;
  for (const std::string& name : names_in(folder.path() / "out"))
    before[name] = file_text(folder.path() / "out" / name);
  s.answers.title = "another";
  s.runs[0].zones[0].temperature.pop_back(); // found out only while the HDF5 file is being written
  EXPECT_THROW(written(folder, s), std::logic_error);
  std::map<std::string, std::string> after;
  for (const std::string& name : names_in(folder.path() / "out"))
    after[name] = file_text(folder.path() / "out" / name);
  EXPECT_TRUE(before == after);
}

TEST(Output_Results, NameWithSpacesAndSigns_IsReferencedCorrectly) {
  const TemporaryFolder folder;
  const Sample s = tq::test::full_sample();
  tq::output::write_results(s.c, s.runs, s.answers, folder.path(), "my knife 2", s.info);
  expect_views_exist(folder.path() / "my knife 2.xmf");
}

TEST(Output_Picture, FullCase_IsWellFormedAndDescribed) {
  const Sample s = tq::test::full_sample();
  const std::string svg = tq::output::picture_svg(s.c, s.runs[0], s.answers.stations[0]);
  EXPECT_EQ(tq::test::xml_fault(svg), "");
  for (const char* part :
       {"role=\"img\"",
        "<title id=\"title\">Pocket knife &lt;no. 7&gt; &amp; sheath, middle of the blade</title>",
        "edge: 61.5 HRC.", "Hardness after tempering, section in true proportions", "In the quench",
        "In the furnace", "seconds from leaving the furnace, logarithmic", "minutes from closing the door",
        "soak 25.0 min", "martensite starts, 196 \u00b0C", "bath 55 \u00b0C", "times larger", "wanted"})
    EXPECT_NE(svg.find(part), std::string::npos) << part;
  for (const char* absent : {"nan", "inf", "script", "href"})
    EXPECT_EQ(svg.find(absent), std::string::npos) << absent;
  EXPECT_LT(svg.size(), 200000U);
}

TEST(Output_Picture, FiguresThatDoNotExist_StillDraw) {
  Sample s = tq::test::full_sample();
  const double nan = std::numeric_limits<double>::quiet_NaN();
  auto& station = s.answers.stations[0];
  station.hrc_band = station.hrc_as_quenched_band = nan;
  station.zones = {};
  for (auto& zone : station.zones) {
    zone.reaches_temperature_s = zone.ms_degC = zone.tempered_HRC = nan;
    zone.name = "zone";
  }
  for (double& hv : s.runs[0].final_HV)
    hv = nan;
  using tq::treatment::Part;
  for (const std::vector<Part>& parts : {std::vector<Part>{}, {Part::temper}, {Part::furnace}}) {
    Sample part = s;
    const auto left_out = [&](Part of) {
      return !parts.empty() && std::find(parts.begin(), parts.end(), of) == parts.end();
    };
    std::erase_if(part.runs[0].spans, [&](const auto& span) { return left_out(span.part); });
    std::erase_if(part.c.steps, [&](const auto& step) { return left_out(part_of(step)); });
    const std::string svg = tq::output::picture_svg(part.c, part.runs[0], station);
    EXPECT_EQ(tq::test::xml_fault(svg), "");
    EXPECT_EQ(svg.find("nan"), std::string::npos);
  }
}

} // namespace
