#include "answers/decision.hpp"

#include "answers/bands.hpp"

#include <algorithm>
#include <string_view>

namespace tq::answers {

const char* go_word(Go go) {
  switch (go) {
  case Go::go:
    return "GO";
  case Go::with_care:
    return "GO WITH CARE";
  case Go::do_not:
    return "DO NOT";
  case Go::not_asked:
    return "NOT ASKED";
  }
  return "";
}

const char* go_key(Go go) {
  switch (go) {
  case Go::go:
    return "go";
  case Go::with_care:
    return "with_care";
  case Go::do_not:
    return "do_not";
  case Go::not_asked:
    return "not_asked";
  }
  return "";
}

namespace {

/// Fails, or fails more likely than not, though the word FAIL is kept for where hardly any passes. A bow can
/// be straightened, a hardness beside its wish is seen to by the temper.
bool forbids(const NamedVerdict& v) {
  const std::string_view name = v.name;
  return name != "bow" && (v.judgement->verdict == Verdict::fail ||
                           (name != "hardness" && v.judgement->failing > failing_for_fail));
}

} // namespace

Decision decide(const Answers& judged, const Risks* risks) {
  Decision out;
  std::vector<NamedVerdict> open; // no pass
  for (const NamedVerdict& v : all_verdicts(judged, risks)) {
    if (v.judgement->verdict == Verdict::not_asked)
      continue;
    const Go go = v.judgement->verdict == Verdict::pass ? Go::go : forbids(v) ? Go::do_not : Go::with_care;
    out.go = out.go == Go::not_asked ? go : std::max(out.go, go);
    if (go != Go::go)
      open.push_back(v);
  }
  std::stable_sort(open.begin(), open.end(), [](const NamedVerdict& a, const NamedVerdict& b) {
    return a.judgement->verdict > b.judgement->verdict;
  });
  // the worst with its reason, the others by name; what is only marginal is no reason to leave it
  for (const NamedVerdict& v : open) {
    if (out.go == Go::do_not && v.judgement->verdict != Verdict::fail && !forbids(v))
      continue;
    out.because += out.because.empty()
                       ? std::string(v.name) + " " + verdict_name(v.judgement->verdict) + ", " +
                             v.judgement->reason.brief()
                       : "; " + std::string(v.name) + " " + verdict_name(v.judgement->verdict);
  }
  for (const NamedVerdict& v : open)
    if (!v.judgement->cure.empty() &&
        std::find(out.changes.begin(), out.changes.end(), v.judgement->cure) == out.changes.end())
      out.changes.push_back(v.judgement->cure);
  if (out.go == Go::go)
    out.because =
        judged.draws > 0 ? "every verdict passes, in nine draws in ten" : "every verdict passes as stated";
  else if (out.go == Go::not_asked)
    out.because = "no verdict is asked of these stages";
  return out;
}

} // namespace tq::answers
