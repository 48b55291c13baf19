#include "treatment/case.hpp"

#include "steel/transformation.hpp"

#include <algorithm>
#include <array>

namespace tq::treatment {

const char* part_name(Part part) {
  constexpr std::array<const char*, part_count> names = {"furnace", "transfer", "bath", "cool", "temper"};
  return names[static_cast<std::size_t>(part)];
}

Part part_of(const Step& step) {
  return std::visit([](const auto& settings) { return counts_as(settings); }, step.kind);
}

std::vector<double> even_frames(double length_s, int count) {
  std::vector<double> times;
  for (int i = 1; i <= count; ++i)
    times.push_back(length_s * i / (count + 1));
  return times;
}

std::vector<Step> usual_steps(const ShortCase& c) {
  std::vector<Step> steps;
  const bool wrapped = c.wrap.layers > 0, to_the_end = wrapped && c.wrap.on_in_oil, coat = c.coat.has_value();
  const auto in_air = [&](Bath bath) {
    bath.air_degC = c.transfer.air_degC;
    bath.air_convection_W_m2K = c.transfer.convection_W_m2K;
    return bath;
  };
  for (const Part part : c.stages)
    switch (part) {
    case Part::furnace:
      steps.push_back({"furnace", c.furnace, wrapped, coat});
      if (!c.furnace.timer_s)
        steps.back().as<Furnace>()->timer_s = own_end_s(c.furnace);
      break;
    case Part::transfer:
      steps.push_back({"transfer",
                       Air{c.transfer.air_degC, c.transfer.convection_W_m2K, c.transfer.time_s, {}},
                       to_the_end || (wrapped && c.transfer.in_foil), coat});
      break;
    case Part::bath:
      steps.push_back({"bath", in_air(c.bath), to_the_end, coat});
      if (!c.second_bath)
        break;
      if (c.second_bath->move_s > 0)
        steps.push_back({"to the second bath",
                         Air{c.transfer.air_degC, c.transfer.convection_W_m2K, c.second_bath->move_s, {}},
                         to_the_end, coat});
      steps.push_back({"second bath", in_air(*c.second_bath), to_the_end, coat});
      break;
    case Part::cool: {
      const Cool& k = c.cool;
      const bool foil = steps.empty() ? to_the_end : wrapped; // as it was; clay comes off with the quench
      steps.push_back({"cool",
                       Air{k.air_degC, k.convection_W_m2K, longest_cooling_s,
                           std::max(k.lowest_degC, k.air_degC + all_but_cold_K)},
                       foil, false});
      if (k.lowest_degC < k.air_degC - all_but_cold_K)
        steps.push_back(
            {"cold", Cold{k.lowest_degC, k.air_degC, k.convection_W_m2K, k.wait_s, 0}, foil, false});
      break;
    }
    case Part::temper:
      for (int i = 1; i <= c.temper.count; ++i)
        steps.push_back({c.temper.count > 1 ? "temper " + std::to_string(i) : "temper",
                         static_cast<const Oven&>(c.temper), false, false});
      break;
    }
  return steps;
}

namespace {

template <class Settings>
bool is(const Step& step) {
  return step.as<Settings>() != nullptr;
}

/// Settings of the step at `place`.
template <class Settings>
const Settings& settings_at(const std::vector<Step>& steps, const std::optional<std::size_t>& place) {
  static const Settings usual{};
  return place ? *steps[*place].as<Settings>() : usual;
}
template <class Settings>
Settings& settings_at(std::vector<Step>& steps, const std::optional<std::size_t>& place) {
  thread_local Settings nowhere; // of a step that is not there: as good as new at each call
  if (!place)
    return nowhere = Settings{};
  return *steps[*place].as<Settings>();
}

/// Air in which the blade gets cold, of a hardening that has it.
std::optional<std::size_t> cooling_air(const Case& c) {
  const Hardening h = c.hardening();
  return h.cool && is<Air>(c.steps[*h.cool]) ? h.cool : std::nullopt;
}

/// First of the hottest ovens of the last hardening.
std::optional<std::size_t> main_temper(const Case& c) {
  std::optional<std::size_t> main = c.hardening().temper;
  for (std::size_t k = main.value_or(c.steps.size()); k < c.steps.size(); ++k)
    if (const Oven* oven = c.steps[k].as<Oven>();
        oven && oven->oven_degC > c.steps[*main].as<Oven>()->oven_degC)
      main = k;
  return main;
}

} // namespace

Hardening Case::hardening() const {
  Hardening h;
  const auto count = steps.size();
  std::optional<std::size_t> first_bath;
  for (std::size_t k = 0; k < count; ++k) {
    if (is<Bath>(steps[k]) && !first_bath)
      first_bath = k;
    const Furnace* f = steps[k].as<Furnace>();
    if (f && (steel.inert || temperature_of(*f).final_degC() > steel::ac1(steel) ? true
                                                                                 : !first_bath && !h.furnace))
      h.furnace = k;
  }
  std::size_t k = h.furnace ? *h.furnace + 1 : 0;
  h.done[0] = k;
  if (k < count && part_of(steps[k]) == Part::transfer)
    h.carry = k++;
  h.done[1] = k;
  for (std::size_t at = k; at < count && !is<Oven>(steps[at]) && !is<Furnace>(steps[at]); ++at)
    if (is<Bath>(steps[at])) {
      if (!h.bath)
        h.bath = at;
      else if (!h.second)
        h.second = at;
      k = at + 1;
    }
  h.done[2] = k;
  for (; k < count && (is<Air>(steps[k]) || is<Cold>(steps[k])); ++k)
    if (!h.cool)
      h.cool = k;
  h.done[3] = k;
  for (; k < count && !h.temper; ++k)
    if (is<Oven>(steps[k]))
      h.temper = k;
  h.done[4] = count;
  return h;
}

HardnessWish Case::hardness_wish(std::size_t station) const {
  const HardnessWish& own = blade.stations.at(station).hardness;
  return own.stated() ? own : HardnessWish{wishes.hrc_from, wishes.hrc_to};
}

HardnessWish Case::common_wish() const {
  const HardnessWish first = hardness_wish(0);
  for (std::size_t i = 1; i < blade.stations.size(); ++i)
    if (hardness_wish(i) != first)
      return {};
  return first;
}

const WantedZones& Case::wanted_zones(std::size_t station) const {
  const auto& own = blade.stations.at(station).zones;
  return own ? *own : wishes.zones;
}

bool Case::hardness_wished() const {
  for (std::size_t i = 0; i < blade.stations.size(); ++i)
    if (hardness_wish(i).stated())
      return true;
  return false;
}

void Case::wish_hardness(HardnessWish wish) {
  wishes.hrc_from = wish.from;
  wishes.hrc_to = wish.to;
  for (Station& s : blade.stations)
    s.hardness = {};
}

std::size_t Case::station_called(const std::string& name) const {
  for (std::size_t i = 0; i + 1 < blade.stations.size(); ++i)
    if (blade.stations[i].name == name)
      return i;
  return blade.stations.size() - 1;
}

const Furnace& Case::furnace() const { return settings_at<Furnace>(steps, hardening().furnace); }
const Air& Case::transfer() const { return settings_at<Air>(steps, hardening().carry); }
const Bath& Case::bath() const { return settings_at<Bath>(steps, hardening().bath); }
const Oven& Case::oven() const { return settings_at<Oven>(steps, main_temper(*this)); }
const Air& Case::cool() const { return settings_at<Air>(steps, cooling_air(*this)); }
Furnace& Case::furnace() { return settings_at<Furnace>(steps, hardening().furnace); }
Air& Case::transfer() { return settings_at<Air>(steps, hardening().carry); }
Bath& Case::bath() { return settings_at<Bath>(steps, hardening().bath); }
Air& Case::cool() { return settings_at<Air>(steps, cooling_air(*this)); }
const Bath* Case::second_bath() const {
  const auto place = hardening().second;
  return place ? steps[*place].as<Bath>() : nullptr;
}
Bath* Case::second_bath() {
  const auto place = hardening().second;
  return place ? steps[*place].as<Bath>() : nullptr;
}

bool Case::carried_in_foil() const {
  const auto place = hardening().carry;
  return place && steps[*place].foil;
}

double Case::lowest_degC() const {
  const Hardening h = hardening();
  double lowest = cool().air_degC;
  if (const auto& until = cool().until_degC; until && *until > lowest + all_but_cold_K)
    lowest = *until;
  for (std::size_t k = h.done[0]; k < steps.size(); ++k)
    if (const Cold* cold = steps[k].as<Cold>())
      lowest = std::min(lowest, cold->medium_degC);
  return lowest;
}

double Case::wait_s() const {
  for (std::size_t k = hardening().done[0]; k < steps.size(); ++k)
    if (const Cold* cold = steps[k].as<Cold>())
      return cold->wait_s;
  return 0;
}

int Case::tempers() const {
  const auto main = main_temper(*this);
  int count = 0;
  for (std::size_t k = main.value_or(steps.size()); k < steps.size(); ++k)
    if (const Oven* oven = steps[k].as<Oven>(); oven && oven->oven_degC == steps[*main].as<Oven>()->oven_degC)
      ++count;
  return count;
}

void Case::for_each_bath(const std::function<void(Bath&)>& f) {
  for (Step& step : steps)
    if (Bath* bath = step.as<Bath>())
      f(*bath);
}

void Case::for_each_oven(const std::function<void(Oven&)>& f) {
  for (Step& step : steps)
    if (Oven* oven = step.as<Oven>())
      f(*oven);
}

void Case::cool_to(double lowest) {
  const auto place = cooling_air(*this);
  if (!place)
    return;
  Air& air = *steps[*place].as<Air>();
  air.until_degC = std::max(lowest, air.air_degC + all_but_cold_K);
  Cold* cold = nullptr;
  for (std::size_t k = *place; k < steps.size(); ++k)
    if (Cold* here = steps[k].as<Cold>(); here && (!cold || here->medium_degC < cold->medium_degC))
      cold = here;
  if (cold) { // not left out when it does nothing, for its wait
    cold->medium_degC = lowest;
    cold->air_degC = air.air_degC;
  } else if (lowest < air.air_degC - all_but_cold_K) {
    steps.insert(steps.begin() + static_cast<std::ptrdiff_t>(*place) + 1,
                 {"cold", Cold{lowest, air.air_degC, air.convection_W_m2K, 0, 0}, steps[*place].foil, false});
  }
}

void Case::for_each_temper(const std::function<void(Oven&)>& f) {
  const auto main = main_temper(*this);
  const double hottest = oven().oven_degC;
  for (std::size_t k = main.value_or(steps.size()); k < steps.size(); ++k)
    if (Oven* oven = steps[k].as<Oven>(); oven && oven->oven_degC == hottest)
      f(*oven);
}

void Case::keep_foil_on() {
  wrap.on_in_oil = true;
  const Hardening h = hardening();
  for (std::size_t k = h.done[0]; k < h.after(Part::cool); ++k)
    steps[k].foil = wrap.layers > 0;
}

void Case::temper_times(int count) {
  const auto main = main_temper(*this);
  if (!main)
    return;
  const Step like = steps[*main];
  const auto from = steps.begin() + static_cast<std::ptrdiff_t>(*main);
  steps.erase(std::remove_if(from, steps.end(),
                             [&](const Step& s) {
                               return is<Oven>(s) && s.as<Oven>()->oven_degC == like.as<Oven>()->oven_degC;
                             }),
              steps.end());
  for (int k = count; k >= 1; --k) {
    Step step = like;
    step.name = count > 1 ? "temper " + std::to_string(k) : "temper";
    steps.insert(steps.begin() + static_cast<std::ptrdiff_t>(*main), step);
  }
}

} // namespace tq::treatment
