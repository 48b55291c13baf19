#include "program/values.hpp"

#include "units/quantity.hpp"

#include <algorithm>

namespace tq::program {

double value_of(const std::string& option, const std::string& text, const std::string& dimension) {
  try {
    return units::parse_quantity(text, dimension);
  } catch (const units::QuantityError& error) {
    throw UsageError(option + ": " + error.what());
  }
}

double value_of(const std::string& option, const std::string& text, const std::string& dimension,
                const records::Range& range, const char* told_in) {
  const double value = value_of(option, text, dimension);
  if (!range.holds(value))
    throw UsageError(option + ": '" + text + "' is out of range; allowed: " +
                     units::format_quantity(range.least, dimension, told_in) + " to " +
                     units::format_quantity(range.most, dimension, told_in));
  return value;
}

std::vector<std::string> parted(const std::string& option, const std::string& list) {
  std::vector<std::string> out;
  for (std::size_t begin = 0; !list.empty() && begin <= list.size();) {
    const std::size_t end = std::min(list.find(',', begin), list.size());
    std::string one = list.substr(begin, end - begin);
    one.erase(0, std::min(one.find_first_not_of(' '), one.size()));
    one.erase(one.find_last_not_of(' ') + 1);
    if (one.empty())
      throw UsageError(option + ": nothing stands between two commas in '" + list + "'");
    out.push_back(one);
    begin = end + 1;
  }
  return out;
}

UsageError no_such_record(const std::string& option, const std::string& name, const std::string& what,
                          const std::vector<std::string>& keys) {
  const std::string near = records::nearest(name, keys);
  std::string all;
  for (const std::string& key : keys)
    all += (all.empty() ? "" : ", ") + key;
  return UsageError(option + ": '" + name + "' is no " + what + "; " +
                    (near.empty() ? "" : "did you mean '" + near + "'? ") + "allowed: " + all +
                    ", or the path of your own record (.toml)");
}

} // namespace tq::program
