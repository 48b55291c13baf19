// How long a transfer may take: the few runs behind the bands against the search by whole quenches.
#include "../../support/file_records.hpp"
#include "answers/margins.hpp"
#include "answers/quick_answer.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <limits>
#include <string>
#include <vector>

namespace {

using namespace tq;
using namespace tq::answers;

treatment::Case shipped(const std::string& name) {
  const std::string file = TQ_SOURCE_DIR "/cases/" + name + ".toml";
  return treatment::read_case(*test::read_file(file), file, test::FileRecords(TQ_SOURCE_DIR "/cases"));
}

class SpareTransfer : public testing::TestWithParam<const char*> {};

// Both on the coarse grid. The search finds the last quarter of a second at which every place still passes;
// the bands stop where the share is within a factor of exp(0.2) of the limit, and go on from there by what
// was foreseen.
TEST_P(SpareTransfer, OfTheBands_IsThatOfTheSearch) {
  const treatment::Case c = shipped(GetParam());
  const StationAnswer quick = quick_answer(c, std::vector<double>(c.blade.stations.size(), 1.0)).front();
  std::array<ZoneMargins, treatment::zone_count> zones;
  quench_margins(c, 0, zones, [](double) {});
  double searched = std::numeric_limits<double>::infinity();
  for (const ZoneMargins& z : zones)
    searched = std::min(searched, z.transfer_to_spare_s);
  constexpr double rung_s = 0.25, stop_s = 0.25;
  EXPECT_GT(least_transfer_to_spare(quick), searched - stop_s);
  EXPECT_LT(least_transfer_to_spare(quick), searched + rung_s + stop_s);
}
INSTANTIATE_TEST_SUITE_P(Cases, SpareTransfer,
                         testing::Values("drop_point_o1", "petty_1084_vegetable", "field_knife_80crv2",
                                         "two_blades_1084", "interrupted_o1", "snap_cold_52100"),
                         [](const auto& name) { return std::string(name.param); });

} // namespace
