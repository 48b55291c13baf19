// Tables of a steel's rates that many runs need alike: each is made once a process.
#pragma once

#include "conduction/uniform_table.hpp"

#include <functional>
#include <string>
#include <vector>

namespace tq::steel {

/// What a table holds and every figure on which it rests beside its argument: two with the same key hold the
/// same.
struct TableKey {
  std::string what;
  std::vector<double> rests_on;
  bool operator==(const TableKey& other) const = default;
};

/// A copy of the table of that key, made from `f` as UniformTable does when it was not made lately (copying
/// takes a hundredth of making). Any thread may ask.
conduction::UniformTable shared_table(const TableKey& key, double from, double to, double step,
                                      const std::function<double(double)>& f);

} // namespace tq::steel
