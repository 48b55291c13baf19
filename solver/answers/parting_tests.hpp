// Which test parts causes, and how much: from what the weighed draws foretell of it. Part of explain.
#pragma once

#include "answers/weighed_faults.hpp"

#include <optional>
#include <string>
#include <vector>

namespace tq::answers {

class PartingTests {
 public:
  PartingTests(const FaultSample& sample, const Reading& reading, const WeighedFaults& weighed);

  /// The cheapest test that tells which of two causes ("none", "something_else", or the key of a fault) is
  /// there when one of them is; where none tells well enough, the one that tells best. Nothing where none
  /// helps.
  std::optional<Explanation::Parting> between(const std::string& a, const std::string& b) const;
  /// The test that makes it likelier by most, for its effort, that the cause named first is there.
  std::optional<Explanation::Parting> next() const;

 private:
  /// Chances of its outcomes, [item][outcome]; the last item is something else. Empty: done already, or not
  /// possible.
  using Outcomes = std::vector<std::vector<double>>;
  Outcomes outcomes(const records::FaultTest& test) const;
  Outcomes of_finding(const records::FaultTest& test) const;
  Outcomes of_file(std::size_t zone, bool ground) const;
  Outcomes of_tester(std::size_t zone) const;
  bool has(std::size_t item, const std::string& cause) const;
  double weight(std::size_t item) const;
  const WeighedBlade& blade(std::size_t item) const { return weighed_.blades()[heavy_[item]]; }
  std::size_t items() const { return heavy_.size() + 1; }

  const FaultSample& sample_;
  const Reading& reading_;
  const WeighedFaults& weighed_;
  std::vector<std::size_t> heavy_; ///< blades that carry any weight worth counting
  std::vector<Outcomes> foretold_; ///< by test
};

} // namespace tq::answers
