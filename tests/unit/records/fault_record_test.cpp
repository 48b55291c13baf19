// The record of usual faults: the shipped one is read, and what is wrong with another is told in one line.
#include "records/document.hpp"
#include "records/read_faults.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <iterator>
#include <string>

namespace {

using namespace tq;

std::string shipped() {
  std::ifstream in(TQ_SOURCE_DIR "/materials/typical_faults.toml", std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

std::string changed(const std::string& from, const std::string& to) {
  std::string text = shipped();
  const std::size_t at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return text.replace(at, from.size(), to);
}

std::string refused(const std::string& text) {
  try {
    records::read_faults(text, "faults.toml");
  } catch (const records::InputError& e) {
    return e.what();
  }
  return "";
}

} // namespace

TEST(FaultRecord, Shipped_NamesCarryTheirRange) {
  const records::FaultRecord record = records::read_faults(shipped(), "faults.toml");
  const records::FaultEntry* furnace = record.find("cold_furnace");
  ASSERT_NE(furnace, nullptr);
  EXPECT_EQ(furnace->name, "the furnace is 15 to 60 K colder than it shows");
  EXPECT_DOUBLE_EQ(furnace->at(0.5), 37.5);
  const records::FaultEntry* oil = record.find("slow_oil");
  ASSERT_NE(oil, nullptr);
  EXPECT_NEAR(oil->at(0.5), std::sqrt(oil->from * oil->to), 1e-12); // a factor: even in its logarithm
  EXPECT_EQ(record.find("bad_luck"), nullptr);
}

TEST(FaultRecord, WhatIsWrong_IsOneLine) {
  EXPECT_NE(refused(changed("to = \"60 K\"", "to = \"10 K\"")).find("cold_furnace.to"), std::string::npos);
  EXPECT_NE(refused(changed("group = \"soak\"", "group = \"sock\"")).find("sock"), std::string::npos);
  EXPECT_NE(refused(changed("finds = [\"bad_place\"]", "finds = [\"bad_luck\"]")).find("bad_luck"),
            std::string::npos);
  EXPECT_NE(refused(changed("odds = 0.12", "odds = -1")).find("odds"), std::string::npos);
  EXPECT_NE(refused(changed("odds = 0.12", "odds = 0.12\nluck = 1")).find("luck"), std::string::npos);
  EXPECT_NE(refused(changed("quench = \"the quench", "cool = \"the quench")).find("group"),
            std::string::npos);
}
