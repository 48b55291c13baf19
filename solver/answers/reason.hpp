// Why a verdict is what it is, in clauses, so that a place with little room takes as many of them as it holds
// and nobody has to find them again in a sentence.
#pragma once

#include <string>
#include <vector>

namespace tq::answers {

struct Clause {
  enum class Kind {
    main,   ///< belongs to the shortest form
    more,   ///< says more of it: causes, comparisons, cures
    stated, ///< what is so for the case as stated, where draws decide
  };
  std::string text;
  std::string joint = "; "; ///< stands before it where another clause does
  Kind kind = Kind::more;
  std::string label = {}; ///< stands between joint and text in the whole reason only: "as stated: "
};

class Reason {
 public:
  Reason() = default;
  // a plain text is a reason of one clause
  Reason(std::string main);
  Reason(const char* main) : Reason(std::string(main)) {}

  Reason& add(Clause clause);
  /// The clauses of a reason for the case as stated, behind those of the draws; `label` stands before them.
  Reason& add_stated(const std::string& label, const Reason& stated);
  /// In front of all: "heel: ".
  void lead_with(const std::string& prefix);

  bool empty() const { return clauses_.empty(); }
  const std::vector<Clause>& clauses() const { return clauses_; }
  std::string text() const;
  /// The main clauses alone.
  std::string brief() const;
  /// What the draws say; all of it where none decide.
  std::string by_draws() const;
  /// As many whole clauses, without labels, as `room` characters hold; at least the first.
  std::string within(std::size_t room) const;

 private:
  std::vector<Clause> clauses_;
};

} // namespace tq::answers
