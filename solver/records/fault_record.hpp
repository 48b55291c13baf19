// What may go wrong with a blade and how common it is, the tests that find it, and how far readings may be
// off: materials/typical_faults.toml.
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace tq::records {

/// How far readings are off, and how likely it is that they say nothing of the faults.
struct ReadingErrorRecord {
  double tester_HRC = 1; ///< nine readings in ten of a Rockwell tester are this near
  double file_HRC = 2;   ///< nine in ten hands and files feel a hardness this near
  double place_HRC = 0;  ///< more, where a place is too thin, too tapered or too near to a rim for it
  double mixture = 0;    ///< of what partly hardened steel falls short of hard, by how much the model is off
  double something_else = 0; ///< odds that another cause, or a mistaken reading, is to blame
  std::string something_else_remedy;
  std::string at_limit, at_limit_remedy; ///< where nothing is wrong and a quench still misses
};

/// One fault. Its range is in SI (a time in s), a share or a factor as such.
struct FaultEntry {
  std::string key;            ///< "slow_oil"
  std::string name;           ///< for people, with its range
  std::string remedy;         ///< what to do about it
  std::string group;          ///< key of what it does: "quench"
  double odds = 0;            ///< against nothing being wrong, before any reading
  double odds_where_felt = 0; ///< the same where the skin computed is deep enough to be felt; else `odds`
  bool ratio = false;         ///< the range is one of a factor: even in its logarithm
  double from = 0, to = 0;
  double tester_share = 1; ///< of the range, by which a tester reads low where a file reads low by all of it

  /// At `share` (0 to 1) of the range.
  double at(double share) const;
};

/// What happened to the blade, whichever fault did it.
struct FaultGroup {
  std::string key, name;
};

/// One test that parts causes.
struct FaultTest {
  enum class Reads { nothing, file_ground, file_spine, tester_thickest };
  std::string key, text;
  int effort = 1;                 ///< 1 minutes, 2 an hour or a tool, 3 another heat
  Reads reads = Reads::nothing;   ///< a reading that the draws foretell
  std::vector<std::string> finds; ///< otherwise: keys of the faults it says yes to
  double sure = 0;                ///< how often it is right, yes or no
};

struct FaultRecord {
  ReadingErrorRecord reading;
  std::vector<FaultGroup> groups;
  std::vector<FaultEntry> faults;
  std::vector<FaultTest> tests;

  /// Nothing when there is none.
  const FaultEntry* find(const std::string& key) const;
};

} // namespace tq::records
