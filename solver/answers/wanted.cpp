#include "answers/wanted.hpp"

#include "answers/telling.hpp"

#include <cmath>

namespace tq::answers {

std::string wish_text(const treatment::Case& c) {
  const auto range = [](const treatment::HardnessWish& w) {
    return hrc_text(w.from) + " to " + hrc_text(w.to) + " HRC";
  };
  const treatment::HardnessWish of_all{c.wishes.hrc_from, c.wishes.hrc_to};
  std::string out = of_all.stated() ? range(of_all) : "";
  for (const treatment::Station& s : c.blade.stations)
    if (s.hardness.stated())
      out += (out.empty() ? "" : "; ") + s.name + " " + range(s.hardness);
  return out;
}

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
