#include "surroundings/bath.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace tq::surroundings {

namespace {

using records::CoolantRecord;
using records::StageCorrection;
using records::Table;

// Where the stages of one table stand: convection below `convection`, the highest h from `peak_from` to
// `peak_to` (the same unless the peak is flat), vapour blanket above `blanket`.
struct Stages {
  double convection, peak_from, peak_to, blanket;
  double h_convection, h_peak, h_film; // h at these places
};

Stages find_stages(const CoolantRecord& coolant) {
  const Table& table = coolant.htc_W_m2K;
  Stages stages{};
  stages.convection = coolant.convection_start_degC;
  stages.blanket = coolant.blanket_end_degC;
  if (!(stages.blanket > stages.convection)) { // not given: the table's own ends
    stages.convection = table.x.front() - 1.0;
    stages.blanket = table.x.back() + 1.0;
  }
  const double highest = *std::max_element(table.y.begin(), table.y.end());
  bool found = false;
  for (std::size_t n = 0; n < table.x.size(); ++n) {
    const bool between = table.x[n] > stages.convection && table.x[n] < stages.blanket;
    if (!between || table.y[n] < highest)
      continue;
    if (!found)
      stages.peak_from = table.x[n];
    stages.peak_to = table.x[n];
    found = true;
  }
  if (!found) // a table whose highest point is no boiling peak
    stages.peak_from = stages.peak_to = 0.5 * (stages.convection + stages.blanket);
  stages.h_convection = table(stages.convection);
  stages.h_peak = table(stages.peak_from);
  stages.h_film = table(stages.blanket);
  return stages;
}

// How far h has come from the foot of a stage to the peak, 0 to 1: on the logarithm of h, so that the
// corrected table still rises and falls where the table does; by temperature when the table has no such rise.
double share_of_peak(double h_foot, double h_peak, double h, double from, double to, double T) {
  if (h_peak > 1.01 * h_foot)
    return std::clamp(std::log(h / h_foot) / std::log(h_peak / h_foot), 0.0, 1.0);
  return std::clamp((T - from) / (to - from), 0.0, 1.0);
}

double multiplier(const Stages& stages, const StageCorrection& correction, double h, double T) {
  if (T <= stages.convection)
    return correction.convection;
  if (T >= stages.blanket)
    return correction.film;
  if (T >= stages.peak_from && T <= stages.peak_to)
    return correction.peak;
  const bool below = T < stages.peak_from;
  const double foot = below ? correction.convection : correction.film;
  const double share =
      below ? share_of_peak(stages.h_convection, stages.h_peak, h, stages.convection, stages.peak_from, T)
            : share_of_peak(stages.h_film, stages.h_peak, h, stages.blanket, stages.peak_to, T);
  return foot * std::pow(correction.peak / foot, share);
}

double shifted(const Stages& stages, double shift_K, double T) {
  return T + shift_K * std::clamp((T - stages.peak_to) / (stages.blanket - stages.peak_to), 0.0, 1.0);
}

} // namespace

StageCorrection correction_at(const std::vector<StageCorrection>& rows, double at) {
  StageCorrection result;
  result.at = at;
  if (rows.empty())
    return result;
  const auto after = std::upper_bound(
      rows.begin(), rows.end(), at, [](double value, const StageCorrection& row) { return value < row.at; });
  const StageCorrection& low = after == rows.begin() ? rows.front() : *(after - 1);
  const StageCorrection& high = after == rows.end() ? rows.back() : *after;
  const double w = high.at > low.at ? std::clamp((at - low.at) / (high.at - low.at), 0.0, 1.0) : 0.0;
  result.film = (1.0 - w) * low.film + w * high.film;
  result.peak = (1.0 - w) * low.peak + w * high.peak;
  result.convection = (1.0 - w) * low.convection + w * high.convection;
  result.blanket_shift_K = (1.0 - w) * low.blanket_shift_K + w * high.blanket_shift_K;
  return result;
}

Table bath_htc(const CoolantRecord& coolant, double bath_degC, double agitation_m_s) {
  const Table& table = coolant.htc_W_m2K;
  if (table.empty())
    return table;

  Table result = table;
  const StageCorrection by_bath = correction_at(coolant.by_bath_temperature, bath_degC);
  const StageCorrection by_agitation = correction_at(coolant.by_agitation, agitation_m_s);
  StageCorrection both;
  both.film = by_bath.film * by_agitation.film;
  both.peak = by_bath.peak * by_agitation.peak;
  both.convection = by_bath.convection * by_agitation.convection;
  both.blanket_shift_K = by_bath.blanket_shift_K + by_agitation.blanket_shift_K;

  if (both.film != 1.0 || both.peak != 1.0 || both.convection != 1.0 || both.blanket_shift_K != 0.0) {
    const Stages stages = find_stages(coolant);
    const double shift_K = std::max(both.blanket_shift_K, -0.8 * (stages.blanket - stages.peak_to));

    std::vector<double> at = table.x;
    at.insert(at.end(), {stages.convection, stages.peak_from, stages.peak_to, stages.blanket});
    std::sort(at.begin(), at.end());
    result.x.clear();
    result.y.clear();
    for (const double T : at) {
      const double moved = shifted(stages, shift_K, T);
      if (T < table.x.front() || T > table.x.back() || (!result.x.empty() && moved - result.x.back() < 1e-6))
        continue;
      result.x.push_back(moved);
      result.y.push_back(table(T) * multiplier(stages, both, table(T), T));
    }
  }

  if (bath_degC < result.x.front() - 1e-6) {
    const double lowest = result.y.front();
    result.x.insert(result.x.begin(), bath_degC);
    result.y.insert(result.y.begin(), lowest);
  }
  return result;
}

BathCurve::BathCurve(Table htc) : htc_(std::move(htc)) {
  if (htc_.interpolation != records::Interpolation::log)
    return;
  const std::vector<double>&x = htc_.x, &y = htc_.y;
  const auto slope = [&](std::size_t after) { // of the piece that ends there; beyond the ends h is held
    return after == 0 || after == x.size()
               ? 0.0
               : (std::log(y[after]) - std::log(y[after - 1])) / (x[after] - x[after - 1]);
  };
  for (std::size_t n = 0; n < x.size(); ++n) {
    double half = rounding_K;
    if (n > 0)
      half = std::min(half, 0.5 * (x[n] - x[n - 1]));
    if (n + 1 < x.size())
      half = std::min(half, 0.5 * (x[n + 1] - x[n]));
    half_width_.push_back(half);
    turn_.push_back(slope(n + 1) - slope(n));
  }
}

double BathCurve::operator()(double T) const {
  const double h = htc_(T);
  if (turn_.empty())
    return h;
  const auto above =
      static_cast<std::size_t>(std::upper_bound(htc_.x.begin(), htc_.x.end(), T) - htc_.x.begin());
  double more = 0;
  for (std::size_t n = above > 0 ? above - 1 : 0; n <= std::min(above, htc_.x.size() - 1); ++n) {
    const double away = std::abs(T - htc_.x[n]) / half_width_[n];
    if (away < 1)
      more += 0.25 * turn_[n] * half_width_[n] * (1 - away) * (1 - away);
  }
  return more == 0 ? h : h * std::exp(more);
}

double bath_heat_capacity(const CoolantRecord& coolant, double volume_m3) {
  return coolant.density_kg_m3 * coolant.specific_heat_J_kgK * volume_m3;
}

} // namespace tq::surroundings
