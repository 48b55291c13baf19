#include "answers/reason.hpp"

#include <utility>

namespace tq::answers {

namespace {

/// The clauses that are wanted, one behind the other.
template <typename Wanted>
std::string joined(const std::vector<Clause>& clauses, bool labels, const Wanted& wanted) {
  std::string out;
  for (const Clause& clause : clauses)
    if (wanted(clause))
      out += (out.empty() ? "" : clause.joint) + (labels ? clause.label : "") + clause.text;
  return out;
}

} // namespace

Reason::Reason(std::string main) {
  if (!main.empty())
    add({std::move(main)});
}

Reason& Reason::add(Clause clause) {
  if (clauses_.empty())
    clause.kind = Clause::Kind::main;
  clauses_.push_back(std::move(clause));
  return *this;
}

Reason& Reason::add_stated(const std::string& label, const Reason& stated) {
  const std::size_t before = clauses_.size();
  for (const Clause& clause : stated.clauses_) {
    clauses_.push_back(clause);
    clauses_.back().kind = Clause::Kind::stated;
  }
  if (clauses_.size() > before)
    clauses_[before].label = label;
  return *this;
}

void Reason::lead_with(const std::string& prefix) {
  if (!clauses_.empty())
    clauses_.front().text.insert(0, prefix);
}

std::string Reason::text() const {
  return joined(clauses_, true, [](const Clause&) { return true; });
}

std::string Reason::brief() const {
  return joined(clauses_, false, [](const Clause& c) { return c.kind == Clause::Kind::main; });
}

std::string Reason::by_draws() const {
  return joined(clauses_, false, [](const Clause& c) { return c.kind != Clause::Kind::stated; });
}

std::string Reason::within(std::size_t room) const {
  std::size_t size = 0, taken = 0;
  return joined(clauses_, false, [&](const Clause& c) {
    size += (taken > 0 ? c.joint.size() : 0) + c.text.size();
    return size <= room || taken == 0 ? (++taken, true) : (size = room + 1, false);
  });
}

} // namespace tq::answers
