#include "answers/wanted.hpp"

#include <cmath>

namespace tq::answers {

const char* wanted_name(treatment::Wanted wanted) {
  switch (wanted) {
  case treatment::Wanted::hard:
    return "hard";
  case treatment::Wanted::soft:
    return "soft";
  case treatment::Wanted::either:
    return "either";
  }
  return "";
}

Verdict zone_verdict(const treatment::Case& c, treatment::Wanted wanted, double transformed) {
  const auto& limit = c.thresholds;
  if (wanted == treatment::Wanted::either || std::isnan(transformed))
    return Verdict::not_asked;
  if (wanted == treatment::Wanted::soft)
    return transformed >= limit.soft_least            ? Verdict::pass
           : transformed > limit.transformed_marginal ? Verdict::marginal
                                                      : Verdict::fail;
  return transformed <= limit.transformed_pass       ? Verdict::pass
         : transformed <= limit.transformed_marginal ? Verdict::marginal
                                                     : Verdict::fail;
}

} // namespace tq::answers
