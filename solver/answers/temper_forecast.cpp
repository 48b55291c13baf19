#include "answers/temper_forecast.hpp"

#include <cmath>

namespace tq::answers {

std::optional<TemperForecast> TemperForecast::of(const treatment::Case& c, const treatment::Run& run,
                                                 const StationAnswer& answer) {
  const bool tempered = c.tempered();
  const records::TemperCurve& table = c.steel.temper;
  const ZoneAnswer &back = answer.zones[treatment::zone_thickest],
                   &front = answer.zones[treatment::zone_edge];
  const bool soft_back = front.wanted == treatment::Wanted::hard &&
                         (back.wanted != treatment::Wanted::hard ||
                          (back.hardens.verdict == Verdict::fail && front.hardens.verdict != Verdict::fail));
  const auto place = soft_back ? treatment::zone_edge : treatment::zone_thickest;
  const ZoneAnswer& zone = answer.zones[place];
  if (!tempered || c.steel.inert || table.hardness_HRC.empty() || run.after_cool.carbon.empty() ||
      run.final_state.tempering.empty() || !std::isfinite(zone.tempered_HRC))
    return {};
  const int row = run.grid.half ? 0 : (run.grid.ny - 1) / 2;
  const auto n = static_cast<std::size_t>(row * run.grid.nx + run.zone_column[place]);
  TemperForecast f(table, zone);
  const treatment::NodeState& s = run.after_cool;
  f.shares_ = {s.martensite[n],         s.austenite[n],  s.bainite[n] - s.tempered_austenite[n],
               s.pearlite[n],           s.ferrite[n],    s.cementite[n],
               s.tempered_austenite[n], s.bainite_HV[n], s.pearlite_HV[n]};
  f.hardness_ = c.steel.hardness;
  f.martensite_HV_ = steel::martensite_hv(c.steel, s.carbon[n]);
  f.hold_s_ = c.oven().time_s * c.tempers();
  f.constant_h_ = table.hj_constant_h;
  f.band_ = std::isfinite(answer.hrc_band) ? answer.hrc_band : table.uncertainty_HRC;
  // The time that the blade really had, warming included, belongs to the oven's temperature as it is set.
  const double reached = run.final_state.tempering[n], set = c.oven().oven_degC;
  if (reached > 0)
    f.late_K_ = steel::equivalent_temperature(reached, f.hold_s_, f.constant_h_) - set;
  f.correction_ = zone.tempered_HRC - f.formula(set); // what the whole run knows beyond this formula
  return f;
}

double TemperForecast::formula(double oven_degC) const {
  const double p = steel::hollomon_jaffe(oven_degC + late_K_, hold_s_, constant_h_);
  return steel::hrc_from_hv(steel::mixture_hv(shares_, martensite_HV_ * response_.factor(p), hardness_));
}

std::vector<OvenChange> other_ovens(const treatment::Case& c, const treatment::Run& run,
                                    const StationAnswer& answer) {
  constexpr double widest_K = 80, step_K = 5, coldest_degC = 100;
  std::vector<OvenChange> out;
  const auto forecast = TemperForecast::of(c, run, answer);
  if (!forecast)
    return out;
  const double own = c.oven().oven_degC, hrc = forecast->hrc(own);
  for (double T = step_K * std::ceil((own - widest_K) / step_K); T <= own + widest_K; T += step_K)
    if (T >= coldest_degC && std::isfinite(forecast->hrc(T)))
      out.push_back({T, forecast->hrc(T) - hrc});
  return out;
}

} // namespace tq::answers
