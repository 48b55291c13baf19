#include "surroundings/bath.hpp"

#include <algorithm>
#include <cmath>

namespace tq::surroundings {

namespace {

using records::CoolantRecord;
using records::StageCorrection;
using records::Table;

// Passes from 0 to 1 between `from` and `to` with no slope at either end.
double smooth_step(double from, double to, double at) {
  const double s = std::clamp((at - from) / (to - from), 0.0, 1.0);
  return s * s * (3.0 - 2.0 * s);
}

// Where the stages of one table stand: convection below `convection`, the highest h from `peak_from` to
// `peak_to` (the same unless the peak is flat), vapour blanket above `blanket`.
struct Stages {
  double convection, peak_from, peak_to, blanket;
};

Stages find_stages(const CoolantRecord& coolant) {
  const Table& table = coolant.htc_W_m2K;
  Stages stages{coolant.convection_start_degC, 0.0, 0.0, coolant.blanket_end_degC};
  if (!(stages.blanket > stages.convection)) // not given: the table's own ends
    stages = {table.x.front() - 1.0, 0.0, 0.0, table.x.back() + 1.0};
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
  return stages;
}

double multiplier(const Stages& stages, const StageCorrection& correction, double T) {
  const double convection = std::log(correction.convection);
  const double peak = std::log(correction.peak);
  const double film = std::log(correction.film);
  double ln = convection;
  ln += (peak - convection) * smooth_step(stages.convection, stages.peak_from, T);
  ln += (film - peak) * smooth_step(stages.peak_to, stages.blanket, T);
  return std::exp(ln);
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

    // The table's own points, and enough between the stages to follow the blend.
    std::vector<double> at = table.x;
    constexpr int blend_points = 8;
    for (int n = 0; n <= blend_points; ++n) {
      const double s = static_cast<double>(n) / blend_points;
      at.push_back(stages.convection + s * (stages.peak_from - stages.convection));
      at.push_back(stages.peak_to + s * (stages.blanket - stages.peak_to));
    }
    std::sort(at.begin(), at.end());
    result.x.clear();
    result.y.clear();
    for (const double T : at) {
      const double moved = shifted(stages, shift_K, T);
      if (T < table.x.front() || T > table.x.back() || (!result.x.empty() && moved - result.x.back() < 1e-6))
        continue;
      result.x.push_back(moved);
      result.y.push_back(table(T) * multiplier(stages, both, T));
    }
  }

  if (bath_degC < result.x.front() - 1e-6) {
    const double lowest = result.y.front();
    result.x.insert(result.x.begin(), bath_degC);
    result.y.insert(result.y.begin(), lowest);
  }
  return result;
}

double bath_heat_capacity(const CoolantRecord& coolant, double volume_m3) {
  return coolant.density_kg_m3 * coolant.specific_heat_J_kgK * volume_m3;
}

} // namespace tq::surroundings
