// Every line of typical_uncertainty.toml is understood and changes what it names.
#include "../../support/file_records.hpp"
#include "answers/uncertain_inputs.hpp"
#include "surroundings/bath.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

using namespace tq;
using namespace tq::answers;

namespace {

treatment::Case read(const std::string& name, const std::string& more = "") {
  const std::filesystem::path folder = std::filesystem::path(TQ_SOURCE_DIR) / "cases";
  return treatment::read_case(*test::read_file(folder / name) + more, name, test::FileRecords(folder));
}

const UncertainInput* find(const std::vector<UncertainInput>& inputs, const std::string& key) {
  const auto at = std::find_if(inputs.begin(), inputs.end(), [&](const auto& i) { return i.key == key; });
  return at == inputs.end() ? nullptr : &*at;
}

} // namespace

TEST(UncertainInputs, EveryShippedInputMattersToSomeCase) {
  std::vector<std::string> seen;
  const std::pair<const char*, const char*> some[] = {
      {"drop_point_o1.toml", "\n[furnace.support]\ndepth = \"3 mm\"\n"},
      {"petty_1084_vegetable.toml", ""},
      {"tapered_bar_quench.toml", ""},
      {"plates_o2.toml", ""},
      {"edge_only_1084.toml", ""},
      {"clay_w2_water_then_oil.toml", ""},
      {"normalised_1095.toml", ""}};
  for (const auto& [name, more] : some)
    for (const UncertainInput& input : uncertain_inputs(read(name, more))) {
      EXPECT_TRUE(input.apply || input.adjust) << input.key;
      EXPECT_FALSE(input.name.empty()) << input.key;
      EXPECT_FALSE(input.source.empty()) << input.key;
      seen.push_back(input.key);
    }
  for (const auto& input : read("drop_point_o1.toml").uncertainty.usual.inputs)
    EXPECT_NE(std::find(seen.begin(), seen.end(), input.key), seen.end()) << input.key;
}

TEST(UncertainInputs, OnlyWhatTheStagesUse) {
  const auto inputs = uncertain_inputs(read("tapered_bar_quench.toml"));
  EXPECT_EQ(find(inputs, "furnace_reading"), nullptr);
  EXPECT_EQ(find(inputs, "steel_pearlite"), nullptr) << "an inert steel has none";
  EXPECT_NE(find(inputs, "oil_h"), nullptr);
}

TEST(UncertainInputs, WidthsComeFromCaseOrRecord) {
  const auto usual = uncertain_inputs(read("drop_point_o1.toml"));
  // 90 % within 40 % of the heat transfer, a factor 3 of the gap: what the records state
  EXPECT_NEAR(find(usual, "oil_h")->distribution.quantile(0.95), 1.4, 1e-9);
  EXPECT_NEAR(find(usual, "foil_gap")->distribution.quantile(0.05), 1.0 / 3, 1e-9);
  EXPECT_NEAR(find(usual, "furnace_reading")->distribution.quantile(0.95), 6, 1e-9);
  const auto own = uncertain_inputs(read("drop_point_o1.toml", "\n[uncertainty]\noil_h = \"measured\"\n"
                                                               "foil_gap = 2\nfurnace_reading = \"4 K\"\n"
                                                               "oven_reading = \"from memory\"\n"
                                                               "transfer_time = \"exact\"\n"));
  EXPECT_NEAR(find(own, "oil_h")->distribution.quantile(0.95), 1.2, 1e-9);
  EXPECT_NEAR(find(own, "foil_gap")->distribution.quantile(0.95), 2, 1e-9);
  EXPECT_NEAR(find(own, "furnace_reading")->distribution.quantile(0.05), -4, 1e-9);
  EXPECT_NEAR(find(own, "oven_reading")->distribution.quantile(0.95), 25, 1e-9);
  EXPECT_EQ(find(own, "transfer_time"), nullptr) << "exact";
}

TEST(UncertainInputs, MiddleChangesNothing_OthersChangeWhatTheyName) {
  const treatment::Case c = read("drop_point_o1.toml");
  const auto inputs = uncertain_inputs(c);
  std::vector<double> changes;
  for (const UncertainInput& input : inputs)
    changes.push_back(input.distribution.middle());
  const treatment::Case same = perturbed(c, inputs, changes.data());
  EXPECT_NEAR(same.furnace().reading_offset_K, c.furnace().reading_offset_K, 1e-12);
  EXPECT_NEAR(same.wrap.gap_m[0], c.wrap.gap_m[0], 1e-15);
  EXPECT_NEAR(same.steel.transformation.pearlite_factor, c.steel.transformation.pearlite_factor, 1e-12);
  EXPECT_NEAR(same.blade.stations[0].profile.thickness_at(0), c.blade.stations[0].profile.thickness_at(0),
              1e-15);

  treatment::Case thick = c;
  find(inputs, "edge_thickness")->apply(thick, 1e-4);
  const section::Profile &before = c.blade.stations[0].profile, &after = thick.blade.stations[0].profile;
  EXPECT_NEAR(after.thickness_at(after.width()), before.thickness_at(before.width()) + 1e-4, 1e-12);
  EXPECT_NEAR(after.thickness_at(0), before.thickness_at(0), 1e-12);
  EXPECT_TRUE(after.symmetric());
  find(inputs, "edge_thickness")->apply(thick, -1);
  EXPECT_NEAR(after.thickness_at(after.width()), section::least_thickness, 1e-12) << "still a section";

  treatment::Case quick = c;
  find(inputs, "transfer_time")->apply(quick, -100);
  EXPECT_GT(quick.transfer().time_s, 0);
  treatment::Case cold = c;
  find(inputs, "coldest")->apply(cold, -3);
  EXPECT_NEAR(cold.lowest_degC(), 17, 1e-12);
  EXPECT_NEAR(cold.cool().air_degC, 17, 1e-12) << "a blade cooled to the room's temperature follows the room";
}

// Slot, plates, clay and the depth of a dip: each is drawn where it is there, and changes nothing else.
TEST(UncertainInputs, WhatTouchesTheBlade_IsDoubted) {
  treatment::Case slot = read("drop_point_o1.toml");
  EXPECT_EQ(find(uncertain_inputs(slot), "furnace_support"), nullptr) << "nothing touches it";
  slot.furnace().support = treatment::Support{treatment::spine_face, 3e-3, 150, 0};
  const auto in_slot = uncertain_inputs(slot);
  ASSERT_NE(find(in_slot, "furnace_support"), nullptr);
  EXPECT_NEAR(find(in_slot, "furnace_support")->distribution.quantile(0.95), 2.5, 1e-9);
  find(in_slot, "furnace_support")->apply(slot, 2);
  EXPECT_NEAR(slot.furnace().support->conductance_W_m2K, 300, 1e-9);

  treatment::Case plates = read("plates_o2.toml");
  const double contact = plates.bath().plates->contact_W_m2K[1];
  const auto between = uncertain_inputs(plates);
  ASSERT_NE(find(between, "plate_contact"), nullptr);
  EXPECT_NEAR(find(between, "plate_contact")->distribution.quantile(0.05), 0.5, 1e-9) << "as the record says";
  find(between, "plate_contact")->apply(plates, 0.5);
  EXPECT_NEAR(plates.bath().plates->contact_W_m2K[1], 0.5 * contact, 1e-9);
  EXPECT_EQ(find(between, "immersion"), nullptr);

  treatment::Case dipped = read("edge_only_1084.toml");
  const double depth = dipped.bath().immersion_m, width = dipped.blade.stations.front().profile.width();
  const auto edge = uncertain_inputs(dipped);
  ASSERT_NE(find(edge, "immersion"), nullptr);
  find(edge, "immersion")->apply(dipped, 2e-3);
  EXPECT_NEAR(dipped.bath().immersion_m, depth + 2e-3, 1e-12);
  find(edge, "immersion")->apply(dipped, -1);
  EXPECT_GT(dipped.bath().immersion_m, 0) << "still dipped";
  find(edge, "immersion")->apply(dipped, 1);
  EXPECT_LT(dipped.bath().immersion_m, width) << "still by its edge";

  treatment::Case clay = read("clay_w2_water_then_oil.toml");
  const std::vector<double> thickness = clay.coat->thickness_m;
  const auto coated = uncertain_inputs(clay);
  ASSERT_NE(find(coated, "coat_thickness"), nullptr);
  find(coated, "coat_thickness")->apply(clay, 1.3);
  for (std::size_t i = 0; i < thickness.size(); ++i)
    EXPECT_NEAR(clay.coat->thickness_m[i], 1.3 * thickness[i], 1e-15);
}

TEST(UncertainInputs, ChangesOfTheOil_AreDoubtedByTheirShareAndNotAtTheirStart) {
  treatment::Case c = read("drop_point_o1.toml");
  EXPECT_EQ(find(uncertain_inputs(c), "oil_by_agitation"), nullptr) << "not moved";
  EXPECT_EQ(find(uncertain_inputs(c), "oil_by_temperature"), nullptr)
      << "55 degC is near the table's 60 degC";
  c.bath().agitation_m_s = 0.5;
  c.bath().temperature_degC = 80;
  const auto inputs = uncertain_inputs(c);
  ASSERT_NE(find(inputs, "oil_by_agitation"), nullptr);
  ASSERT_NE(find(inputs, "oil_by_temperature"), nullptr);
  EXPECT_NEAR(find(inputs, "oil_by_agitation")->distribution.quantile(0.95), 0.5, 1e-9)
      << "as the record says";
  const auto h = [](const treatment::Case& of, double T) {
    return surroundings::bath_htc(of.bath().coolant, of.bath().temperature_degC, of.bath().agitation_m_s)(T);
  };
  treatment::Case none = c, still = c;
  find(inputs, "oil_by_agitation")->apply(none, -1); // as if moving did nothing
  still.bath().agitation_m_s = 0;
  for (double T : {150.0, 300.0, 481.0, 600.0, 800.0})
    EXPECT_NEAR(h(none, T), h(still, T), 1e-9 * h(still, T)) << T;
  // the blanket's own doubt is no change by temperature
  find(inputs, "oil_blanket")->apply(c, 20);
  treatment::Case table = c;
  table.bath().temperature_degC = table.bath().coolant.table_bath_degC;
  treatment::Case doubled = table;
  find(inputs, "oil_by_temperature")->apply(doubled, 1);
  for (double T : {300.0, 600.0, 700.0})
    EXPECT_NEAR(h(doubled, T), h(table, T), 1e-9 * h(table, T)) << T;
}
