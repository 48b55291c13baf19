// Where a found setting stands in a case: paths that --set takes, in lists of steps too.
#include "../../support/file_records.hpp"
#include "answers/case_path.hpp"
#include "treatment/case_reader.hpp"

#include <gtest/gtest.h>

namespace {

using namespace tq;
using answers::case_path;

treatment::Case shipped(const std::string& stem) {
  const std::string path = TQ_SOURCE_DIR "/cases/" + stem + ".toml";
  return treatment::read_case(test::read_file(path).value(), stem + ".toml",
                              test::FileRecords(TQ_SOURCE_DIR "/cases"));
}

TEST(CasePath, ShortForm_IsTheKeyItself) {
  const treatment::Case c = shipped("drop_point_o1");
  for (const char* key :
       {"furnace.timer", "transfer.time", "bath.volume", "temper.oven", "cool.lowest", "wrap.gap"})
    EXPECT_EQ(case_path(c, key), key);
  EXPECT_EQ(case_path(c, "blade.station.spine"), "blade.station[1].spine");
  EXPECT_EQ(case_path(c, ""), "");
}

// cases/normalised_1095.toml: three normalisings of furnace and air, then the hardening from step 7 on.
TEST(CasePath, ListOfSteps_IsNamedByItsNumber) {
  const treatment::Case c = shipped("normalised_1095");
  const treatment::Hardening h = c.hardening();
  const auto step = [&](const std::optional<std::size_t>& place, const std::string& key) {
    return "step[" + std::to_string(c.steps[*place].number) + "]." + key;
  };
  EXPECT_GT(c.steps[*h.furnace].number, 1);
  EXPECT_EQ(case_path(c, "furnace.timer"), step(h.furnace, "timer"));
  EXPECT_EQ(case_path(c, "transfer.time"), step(h.carry, "time"));
  EXPECT_EQ(case_path(c, "bath.temperature"), step(h.bath, "temperature"));
  EXPECT_EQ(case_path(c, "temper.count"), step(h.temper, "count"));
  EXPECT_EQ(case_path(c, "wrap.gap"), "wrap.gap");
}

} // namespace
