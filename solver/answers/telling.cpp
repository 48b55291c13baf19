#include "answers/telling.hpp"

#include "answers/limit_text.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>

namespace tq::answers {

using units::formatted;

namespace {

constexpr double seam = 1e-6; ///< keeps 300.0000001 s from being rounded up to 6 min

std::string half_steps(double twice) { return formatted("%.1f", std::max(0.0, twice) / 2); }

double whole_or_half(double value) { return std::round(value * 2) / 2; }

std::string half_figure(double value) {
  return std::abs(value - std::round(value)) < seam ? formatted("%.0f", value) : formatted("%.1f", value);
}

} // namespace

std::string temperature_text(double degC) {
  if (!std::isfinite(degC))
    return "-";
  const auto whole = [](double x) { return std::round(x) + 0.0; }; // no "-0"
  return formatted("%.0f degC (%.0f degF)", whole(degC), whole(degC * 1.8 + 32));
}

std::string difference_text(double K) {
  if (!std::isfinite(K))
    return "-";
  const int digits = std::abs(K) < 9.95 && std::abs(K - std::round(K)) > 0.05 ? 1 : 0;
  return formatted("%.*f K (%.*f degF)", digits, K, digits, K * 1.8);
}

std::string length_text(double m) {
  if (!std::isfinite(m))
    return "-";
  const double um = m * 1e6;
  if (um < 99.5) {
    // Gaps and foil: a ten thousandth of an inch matters here, trailing zeros do not.
    std::string inches = formatted(um < 5 ? "%.5f" : "%.4f", m / 0.0254);
    while (inches.back() == '0' && inches.size() > std::string_view("0.001").size())
      inches.pop_back();
    return formatted(um < 9.95 ? "%.2g" : "%.0f", um) + " um (" + inches + " in)";
  }
  return formatted("%.2f mm (%.3f in)", m * 1e3, m / 0.0254);
}

std::string volume_text(double m3) {
  if (!std::isfinite(m3))
    return "-";
  return formatted("%.3g L (%.2g US gal)", m3 * 1e3, m3 / 3.785411784e-3);
}

std::string minutes_up(double s) {
  if (!std::isfinite(s))
    return "-";
  return formatted("%.0f min", std::max(0.0, std::ceil(s / 60 - seam)));
}

std::string minutes_text(double s) {
  if (!std::isfinite(s))
    return "-";
  return formatted("%.1f min", s / 60);
}

std::string seconds_set(double s) { return std::isfinite(s) ? formatted("%.4g s", s) : "-"; }

std::string half_seconds_up(double s) {
  if (!std::isfinite(s))
    return "-";
  return half_steps(std::ceil(s * 2 - seam)) + " s";
}

std::string half_seconds_down(double s) {
  if (!std::isfinite(s))
    return "-";
  return half_steps(std::floor(s * 2 + seam)) + " s";
}

std::string hours_text(double s) {
  if (!std::isfinite(s))
    return "-";
  const long minutes = std::lround(s / 60);
  if (minutes < 60)
    return formatted("%ld min", minutes);
  if (minutes % 60 == 0)
    return formatted("%ld h", minutes / 60);
  return formatted("%ld h %ld min", minutes / 60, minutes % 60);
}

std::string hrc_text(double hrc) {
  if (!std::isfinite(hrc))
    return "-";
  if (hrc < 20)
    return "below 20";
  if (hrc > 68)
    return "above 68";
  return formatted("%.1f", whole_or_half(hrc));
}

std::string hrc_pair(double least, double most) {
  if (!std::isfinite(least) || !std::isfinite(most))
    return "-";
  const std::string from = hrc_text(least), to = hrc_text(most);
  return from == to ? from : from + " to " + to;
}

std::string hrc_range_text(double least, double most, double band) {
  const std::string pair = hrc_pair(least, most);
  return pair == "-" ? pair : pair + " HRC" + (pair == "below 20" ? "" : " " + band_text(band));
}

std::string band_text(double band_hrc) {
  if (!std::isfinite(band_hrc))
    return "(band unknown)";
  return "+/- " + half_figure(std::max(0.5, std::ceil(band_hrc * 2 - seam) / 2));
}

std::string percent_text(double share) {
  if (!std::isfinite(share))
    return "-";
  const double percent = share * 100;
  if (percent > 0 && percent < 0.05)
    return "< 0.1 %";
  return percent < 9.95 ? formatted("%.1f %%", percent) : formatted("%.0f %%", percent);
}

std::string times_text(double ratio) {
  if (std::isnan(ratio))
    return "-";
  if (ratio > 20)
    return "over 20 x";
  // down, so that what just misses does not read as enough
  const int digits = ratio < 1 ? 2 : ratio < 10 ? 1 : 0;
  const double steps = std::pow(10, digits);
  return formatted("%.*f x", digits, std::floor(ratio * steps + seam) / steps);
}

std::string cools_text(double ratio) { return "cools " + times_text(ratio) + " as fast as it needs"; }

std::string told(Show show, double value) {
  if (std::isnan(value) && show != Show::minutes_or_never)
    return "-";
  if (std::isinf(value) && show != Show::times && show != Show::half_seconds_down)
    return "never";
  switch (show) {
  case Show::hidden:
    return "";
  case Show::temperature:
    return temperature_text(value);
  case Show::at_most_degC:
    return degC_limit_text(std::floor(value + seam), false);
  case Show::difference:
    return difference_text(value);
  case Show::place:
    return formatted("%.1f mm", value * 1e3);
  case Show::length:
    return length_text(value);
  case Show::at_least_length:
    return length_limit_text(value, true);
  case Show::minutes_or_never:
    return std::isfinite(value) ? minutes_text(value) : "never";
  case Show::minutes:
    return minutes_text(value);
  case Show::minutes_up:
    return minutes_up(value);
  case Show::minutes_down:
    return formatted("%.0f min", std::floor(value / 60 + seam));
  case Show::seconds:
    return formatted(value < 9.95 ? "%.1f s" : "%.0f s", value);
  case Show::half_seconds_up:
    return half_seconds_up(value);
  case Show::half_seconds_down:
    return std::isinf(value) ? "any time" : half_seconds_down(value);
  case Show::pause_up:
    return hours_text(60 * std::ceil(value / 60 - seam));
  case Show::share:
    return percent_text(value);
  case Show::weight_percent:
    return formatted("%.2f %%", value);
  case Show::rockwell:
    return hrc_text(value);
  case Show::times:
    return times_text(value);
  case Show::count:
    return formatted("%.0f", std::floor(value + seam));
  case Show::grams:
    return formatted("%.0f g (%.1f oz)", value * 1e3, value / 0.028349523125);
  case Show::at_least_volume:
    return volume_limit_text(std::ceil(value * 2e3 - seam) / 2e3, true);
  case Show::grain:
    return formatted("%.0f", value);
  }
  return "";
}

} // namespace tq::answers
