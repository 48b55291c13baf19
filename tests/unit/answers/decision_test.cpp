// The one answer, and the verdicts on oil and edge that count in it.
#include "../../support/file_records.hpp"
#include "answers/bath_limit.hpp"
#include "answers/careful_timer.hpp"
#include "answers/decision.hpp"
#include "answers/safety.hpp"
#include "treatment/case_reader.hpp"

#include <gtest/gtest.h>

using namespace tq;
using namespace tq::answers;

namespace {

treatment::Case shipped(const std::string& name) {
  const std::filesystem::path path = std::filesystem::path(TQ_SOURCE_DIR) / "cases" / (name + ".toml");
  return treatment::read_case(*test::read_file(path), name, test::FileRecords());
}

/// As much of the answers as the oil's verdict looks at.
Answers with_bath(double start_degC, double end_degC, double surface_at_lift_degC = 60) {
  Answers a;
  StationAnswer s;
  s.bath_start_degC = start_degC;
  s.bath_end_degC = end_degC;
  s.surface_at_lift_degC = surface_at_lift_degC;
  a.stations = {s};
  return a;
}

Risks quiet_risks() {
  Risks r;
  for (Judgement* j : {&r.bow, &r.crack.crack, &r.oil, &r.edge})
    *j = {Verdict::pass, "nothing"};
  return r;
}

Answers passing() {
  Answers a;
  for (Judgement* j : {&a.soak, &a.quench, &a.hardness})
    *j = {Verdict::pass, "fine"};
  return a;
}

} // namespace

TEST(Decision, EveryVerdictCounts) {
  EXPECT_EQ(decide(passing(), nullptr).go, Go::go);
  EXPECT_EQ(decide({}, nullptr).go, Go::not_asked);
  for (const char* name : {"soak", "quench", "hardness", "bow", "crack", "oil", "edge"})
    for (const Verdict verdict : {Verdict::marginal, Verdict::fail}) {
      Answers a = passing();
      Risks r = quiet_risks();
      for (const NamedVerdict& v : all_verdicts(a, &r))
        if (std::string(v.name) == name) {
          auto& j = const_cast<Judgement&>(*v.judgement);
          j = {verdict, Reason("because of it").add({"and more"})};
          j.cure = "another thing";
        }
      const Decision d = decide(a, &r);
      const bool forbids = verdict == Verdict::fail && std::string(name) != "bow";
      EXPECT_EQ(d.go, forbids ? Go::do_not : Go::with_care) << name;
      EXPECT_EQ(d.because, std::string(name) + " " + verdict_name(verdict) + ", because of it");
      EXPECT_EQ(d.changes, std::vector<std::string>{"another thing"});
    }
}

// FAIL is not said where one in five passes; what fails more likely than not is still not to be done.
TEST(Decision, WhatFailsMoreLikelyThanNot_IsNotToBeDone) {
  for (const double failing : {0.5, 0.6}) {
    Answers a = passing();
    a.quench = {Verdict::marginal, "too slow"};
    a.quench.failing = failing;
    EXPECT_EQ(decide(a, nullptr).go, failing > 0.5 ? Go::do_not : Go::with_care);
    EXPECT_EQ(decide(a, nullptr).because, "quench MARGINAL, too slow");
    a.quench = {Verdict::pass, "fine"};
    a.hardness = {Verdict::marginal, "soft"};
    a.hardness.failing = failing;
    EXPECT_EQ(decide(a, nullptr).go, Go::with_care) << "the temper sees to it";
  }
}

TEST(Decision, WhatIsMarginalIsNoReasonToLeaveIt) {
  Answers a = passing();
  a.quench = {Verdict::fail, "too slow"};
  a.hardness = {Verdict::marginal, "a little soft"};
  EXPECT_EQ(decide(a, nullptr).because, "quench FAIL, too slow");
}

// Medium oil of the record: usual up to 70 degC, smokes at 150, flashes at 180; 28 K from the flash point is
// NFPA-style practice (materials/coolants/medium-oil.toml, thresholds of the case).
TEST(OilVerdict, OneLimitAndTheFlashPoint) {
  treatment::Case c = shipped("drop_point_o1");
  EXPECT_DOUBLE_EQ(bath_limit(c.bath(), c.thresholds.flash_margin_K).degC, 70);
  EXPECT_EQ(oil_verdict(c, with_bath(55, 60)).verdict, Verdict::pass);
  EXPECT_EQ(oil_verdict(c, with_bath(55, 71)).verdict, Verdict::marginal);
  EXPECT_EQ(oil_verdict(c, with_bath(55, 60, 200)).verdict, Verdict::marginal)
      << "lifted above the flash point";
  c.bath().temperature_degC = 120; // hotter than usual from the start: the limit stays where it is
  EXPECT_DOUBLE_EQ(bath_limit(c.bath(), c.thresholds.flash_margin_K).degC, 70);
  EXPECT_EQ(oil_verdict(c, with_bath(120, 125)).verdict, Verdict::marginal);
  EXPECT_EQ(oil_verdict(c, with_bath(120, 153)).verdict, Verdict::fail);
  c.bath().temperature_degC = 155;
  EXPECT_EQ(oil_verdict(c, with_bath(155, 156)).verdict, Verdict::fail);
  EXPECT_EQ(oil_verdict(shipped("plates_o2"), with_bath(20, 25)).verdict, Verdict::not_asked);
}

TEST(EdgeVerdict, ThinnerThanItsOwnLeastEdge_DoesNotPass) {
  const treatment::Case c = shipped("drop_point_o1"); // an edge of 0.6 mm
  Answers a = with_bath(55, 60);
  SurfaceAnswer& surface = a.stations.front().surface;
  surface.grind_per_side_m = 10e-6;
  surface.edge_governed_by = "floor";
  surface.least_edge_m = 0.5e-3;
  EXPECT_EQ(edge_verdict(c, a).verdict, Verdict::pass);
  surface.least_edge_m = 0.7e-3;
  EXPECT_EQ(edge_verdict(c, a).verdict, Verdict::marginal);
  surface.grind_per_side_m = 0.31e-3; // the skins of both flanks meet
  EXPECT_EQ(edge_verdict(c, a).verdict, Verdict::fail);
}

TEST(CarefulTimer, LaterThanTheMiddleAndTheSameWhereNothingIsInDoubt) {
  treatment::Case c = shipped("petty_1084_vegetable");
  const CarefulTimer drawn = careful_timer(c);
  EXPECT_GT(drawn.careful_s, drawn.middle_s);
  c.uncertainty.usual.inputs.clear();
  const CarefulTimer exact = careful_timer(c);
  EXPECT_EQ(exact.careful_s, exact.middle_s);
  EXPECT_EQ(exact.middle_s, drawn.middle_s);
}
