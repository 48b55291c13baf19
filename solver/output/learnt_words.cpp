#include "output/learnt_words.hpp"

#include "answers/figures.hpp"
#include "answers/sampling.hpp"
#include "output/text.hpp"
#include "units/math.hpp"

#include <algorithm>
#include <cmath>

namespace tq::output {
namespace {

using answers::Band;

std::string between(const Band& band, answers::Show show) {
  if (!(band.known > 0))
    return "-";
  const std::string low = answers::told(show, band.low), high = answers::told(show, band.high);
  return low == high ? low : low + " to " + high;
}

void add_inputs(const treatment::Learnt& learnt, const answers::Bands& before, const answers::Bands& after,
                LearntWords& out) {
  constexpr double worth_telling = 0.9; // of the width before
  std::vector<std::pair<double, LearntWords::Row>> rows;
  for (const answers::UncertainInput& now : after.inputs) {
    const auto was = std::find_if(before.inputs.begin(), before.inputs.end(),
                                  [&](const answers::UncertainInput& i) { return i.key == now.key; });
    if (!now.learnt || was == before.inputs.end())
      continue;
    const std::size_t k = *now.learnt;
    const double sd = std::sqrt(learnt.covariance[k * learnt.inputs.size() + k]);
    if (sd > worth_telling)
      continue;
    const double middle = was->distribution.at_score(learnt.middle[k]),
                 unmoved = was->distribution.at_score(0);
    // no finer than the width is told, to two digits
    const double half = answers::normal_half_90 * sd *
                        std::abs(was->distribution.at_score(learnt.middle[k] + 0.5) -
                                 was->distribution.at_score(learnt.middle[k] - 0.5));
    const int digits = half > 0 ? std::max(0, 1 - static_cast<int>(std::floor(math::log10(half)))) : 3;
    const std::string moved = std::abs(unmoved - 1) < 1e-9 ? formatted("%.2f times", middle)
                                                           : formatted("%+.*f", std::min(digits, 3), middle);
    rows.push_back({sd, {now.name, was->width, moved + ", " + now.width}});
  }
  std::stable_sort(rows.begin(), rows.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  for (auto& row : rows)
    out.inputs.push_back(std::move(row.second));
}

} // namespace

LearntWords learnt_words(const treatment::Case& c, const answers::Bands& before,
                         const answers::Bands& after) {
  LearntWords out;
  if (!c.uncertainty.learnt || before.stations.empty() || after.stations.empty())
    return out;
  out.heading = "Furnace, foil, oil, oven and steel " + c.uncertainty.learnt->from +
                "; all bands of this page are narrowed by that.";
  add_inputs(*c.uncertainty.learnt, before, after, out);
  const answers::StationBands &was = before.stations.front(), &now = after.stations.front();
  for (const answers::Figure& figure : answers::figures()) {
    if (figure.of_station == nullptr || figure.show == answers::Show::hidden)
      continue;
    const Band *one = was.find(figure.meaning.name), *other = now.find(figure.meaning.name);
    constexpr double narrower = 0.95; // of the width before
    if (one == nullptr || other == nullptr || !(other->high - other->low < narrower * (one->high - one->low)))
      continue;
    out.figures.push_back(
        {figure.meaning.long_name, between(*one, figure.show), between(*other, figure.show)});
  }
  return out;
}

} // namespace tq::output
