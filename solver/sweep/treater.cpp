#include "sweep/treater.hpp"

#include "answers/careful_timer.hpp"
#include "answers/executor.hpp"
#include "answers/margins.hpp"
#include "answers/station_answer.hpp"
#include "answers/timer.hpp"

#include <algorithm>
#include <cmath>
#include <set>

namespace tq::sweep {

using treatment::Case;
using treatment::Part;

/// The timer that the program sets, and what goes with it; of one furnace.
struct Treater::Timer {
  double careful_s = 0;
  std::vector<answers::StationMargins> margins;
};

/// What depends on all before the tempers.
struct Treater::Quench {
  std::vector<std::array<answers::ZoneMargins, treatment::zone_count>> margins; ///< by station
  std::string judged; ///< what the bow's verdict depends on besides
  std::optional<answers::Risks> risks;
};

Treater::Treater(std::vector<Column> columns, int draws, std::uint64_t seed)
    : columns_(std::move(columns)), needs_(needs_of(columns_, draws)), draws_(draws), seed_(seed) {}
Treater::~Treater() = default;

/// Makes `next` the case, with what it shares with the one before.
void Treater::take(Case next) {
  StepTexts texts = StepTexts::of(next);
  const std::size_t shared = usable_ ? texts.shared_with(texts_) : StepTexts::none;
  const bool same_furnace = shared != StepTexts::none;
  usable_ = false; // until the run is done
  given_ = std::move(next);
  texts_ = std::move(texts);
  const std::size_t same = same_furnace ? shared : 0;
  const treatment::Hardening h = given_.hardening();
  if (!same_furnace)
    timer_.reset();
  if (!same_furnace || same < h.after(Part::cool))
    quench_.reset();
  Case now = given_;
  set_timer(now);
  // kept: the end of the furnace and of the quench, and what follows as far as another case has shared it
  most_shared_ = std::max(most_shared_, same);
  std::set<std::size_t> places{0, h.after(Part::furnace), h.after(Part::cool)};
  for (std::size_t k = h.after(Part::cool); k < std::min(given_.steps.size(), most_shared_ + 1); ++k)
    places.insert(k);
  if (!experiment_)
    experiment_ = std::make_unique<answers::Experiment>(
        now, needs_.metallurgy ? answers::Fields::step_ends_with_hardness : answers::Fields::step_ends);
  experiment_->become(std::move(now), same_furnace ? std::optional(same) : std::nullopt, std::move(places));
}

/// As answer() does for a case that leaves it to the program.
void Treater::set_timer(Case& c) {
  if (!c.heated() || c.furnace().timer_s)
    return;
  if (!timer_) {
    timer_ = std::make_unique<Timer>();
    for (std::size_t k = 0; k < c.blade.stations.size(); ++k)
      timer_->margins.push_back(answers::soak_margins(c, k));
    const double s = answers::careful_timer(c).careful_s;
    timer_->careful_s = std::isfinite(s) ? s : treatment::no_timer_s;
  }
  answers::set_timer_from_door(c, timer_->careful_s);
}

answers::StationAnswer Treater::station(std::size_t k) {
  const Case& c = experiment_->settings();
  const treatment::Run& run = experiment_->whole_run(k);
  answers::StationMargins margins = timer_ ? timer_->margins[k] : answers::soak_margins(c, k, run);
  if (needs_.margins) {
    if (quench_->margins.size() <= k) {
      quench_->margins.emplace_back();
      answers::quench_margins(c, k, quench_->margins[k], [](double) {});
    }
    answers::take_quench_margins(margins, quench_->margins[k]);
  }
  return answers::whole_station(c, k, run, margins, {needs_.surface, needs_.metallurgy});
}

std::vector<double> Treater::values(Case next) {
  take(std::move(next));
  if (!quench_)
    quench_ = std::make_unique<Quench>();
  answers::Answers a;
  a.title = given_.title;
  for (std::size_t k = 0; k < given_.blade.stations.size(); ++k)
    a.stations.push_back(station(k));
  answers::take_worst(a);
  usable_ = true;
  if (needs_.risks) {
    const bool same = quench_->risks && quench_->judged == texts_.judged;
    quench_->risks = answers::risks(given_, a, nullptr, {}, same ? &*quench_->risks : nullptr);
    quench_->judged = texts_.judged;
  }
  std::optional<answers::Bands> bands;
  if (draws_ > 0) {
    answers::SerialExecutor serial;
    bands = answers::bands(given_, a, {draws_, seed_, false}, serial);
    a = answers::judged_by(a, *bands);
  }
  return values_of(columns_, a, bands ? &*bands : nullptr, quench_->risks ? &*quench_->risks : nullptr);
}

} // namespace tq::sweep
