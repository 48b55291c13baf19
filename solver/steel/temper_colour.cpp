#include "steel/temper_colour.hpp"

#include "units/temperature.hpp"

#include <algorithm>
#include <cmath>
#include <complex>
#include <cstddef>
#include <cstdio>
#include <numbers>

namespace tq::steel {

namespace {

using Complex = std::complex<double>;

/// A row of materials/optics.toml.
struct OpticalRow {
  double wavelength_nm, n, k;
};
constexpr std::array<OpticalRow, 16> iron = {{{368, 2.02, 2.43},
                                              {381, 2.12, 2.50},
                                              {397, 2.24, 2.58},
                                              {413, 2.35, 2.65},
                                              {431, 2.48, 2.71},
                                              {451, 2.59, 2.77},
                                              {471, 2.67, 2.82},
                                              {496, 2.74, 2.88},
                                              {521, 2.86, 2.91},
                                              {549, 2.95, 2.93},
                                              {582, 2.94, 2.99},
                                              {617, 2.88, 3.05},
                                              {659, 2.92, 3.10},
                                              {704, 2.86, 3.19},
                                              {756, 2.87, 3.28},
                                              {821, 2.94, 3.39}}};
constexpr std::array<OpticalRow, 41> magnetite = {
    {{380, 2.459, 0.096}, {390, 2.464, 0.080}, {400, 2.462, 0.062}, {410, 2.453, 0.047}, {420, 2.440, 0.034},
     {430, 2.423, 0.026}, {440, 2.404, 0.026}, {450, 2.386, 0.032}, {460, 2.374, 0.042}, {470, 2.367, 0.054},
     {480, 2.365, 0.063}, {490, 2.364, 0.067}, {500, 2.359, 0.071}, {510, 2.354, 0.077}, {520, 2.349, 0.083},
     {530, 2.346, 0.091}, {540, 2.344, 0.099}, {550, 2.343, 0.105}, {560, 2.342, 0.112}, {570, 2.342, 0.118},
     {580, 2.342, 0.125}, {590, 2.344, 0.131}, {600, 2.346, 0.136}, {610, 2.350, 0.141}, {620, 2.353, 0.144},
     {630, 2.358, 0.148}, {640, 2.366, 0.145}, {650, 2.366, 0.138}, {660, 2.363, 0.137}, {670, 2.364, 0.135},
     {680, 2.362, 0.131}, {690, 2.359, 0.127}, {700, 2.355, 0.124}, {710, 2.349, 0.122}, {720, 2.343, 0.120},
     {730, 2.336, 0.119}, {740, 2.329, 0.118}, {750, 2.320, 0.118}, {760, 2.312, 0.119}, {770, 2.303, 0.120},
     {780, 2.294, 0.123}}};

template <std::size_t rows>
Complex index(const std::array<OpticalRow, rows>& table, double nm) {
  const auto above = std::upper_bound(table.begin(), table.end(), nm, [](double value, const OpticalRow& r) {
    return value < r.wavelength_nm;
  });
  const auto i = static_cast<std::size_t>(
      std::clamp<std::ptrdiff_t>(above - table.begin(), 1, static_cast<std::ptrdiff_t>(rows) - 1));
  const OpticalRow &a = table[i - 1], &b = table[i];
  const double w = std::clamp((nm - a.wavelength_nm) / (b.wavelength_nm - a.wavelength_nm), 0.0, 1.0);
  return {a.n + w * (b.n - a.n), a.k + w * (b.k - a.k)};
}

// CIE standard illuminant D65, 380-780 nm in steps of 10 nm (from memory; its white point is tested).
constexpr double first_nm = 380.0, step_nm = 10.0;
constexpr std::array<double, 41> daylight = {
    49.98,  54.65,  82.75,  91.49,  93.43,  86.68,  104.86, 117.01, 117.81, 114.86, 115.92,
    108.81, 109.35, 107.80, 104.79, 107.69, 104.41, 104.05, 100.00, 96.33,  95.79,  88.69,
    90.01,  89.60,  87.70,  83.29,  83.70,  80.03,  80.21,  82.28,  78.28,  69.72,  71.61,
    74.35,  61.60,  69.89,  75.09,  63.59,  46.42,  66.81,  63.38};

double lobe(double nm, double middle, double below, double above) {
  const double z = (nm - middle) / (nm < middle ? below : above);
  return std::exp(-0.5 * z * z);
}

/// Colour matching functions, Wyman, Sloan & Shirley 2013 (multi-lobe fit).
std::array<double, 3> matching(double nm) {
  return {1.056 * lobe(nm, 599.8, 37.9, 31.0) + 0.362 * lobe(nm, 442.0, 16.0, 26.7) -
              0.065 * lobe(nm, 501.1, 20.4, 26.2),
          0.821 * lobe(nm, 568.8, 46.9, 40.5) + 0.286 * lobe(nm, 530.9, 16.3, 31.1),
          1.217 * lobe(nm, 437.0, 11.8, 36.0) + 0.681 * lobe(nm, 459.0, 26.0, 13.8)};
}

/// Tristimulus sums of the daylight reflected by R(nm), not yet scaled.
template <class R>
std::array<double, 3> tristimulus(R reflectance) {
  std::array<double, 3> sum{};
  for (std::size_t i = 0; i < daylight.size(); ++i) {
    const double nm = first_nm + step_nm * static_cast<double>(i);
    const std::array<double, 3> eye = matching(nm);
    for (std::size_t c = 0; c < 3; ++c)
      sum[c] += daylight[i] * reflectance(nm) * eye[c];
  }
  return sum;
}

const std::array<double, 3>& white() {
  static const std::array<double, 3> sum = tristimulus([](double) { return 1.0; });
  return sum;
}

std::array<double, 3> lab_of(const std::array<double, 3>& xyz) {
  const auto f = [](double t) {
    return t > 216.0 / 24389.0 ? std::cbrt(t) : (24389.0 / 27.0 * t + 16.0) / 116.0;
  };
  std::array<double, 3> v{};
  for (std::size_t c = 0; c < 3; ++c)
    v[c] = f(xyz[c] / (white()[c] / white()[1]));
  return {116.0 * v[1] - 16.0, 500.0 * (v[0] - v[1]), 200.0 * (v[1] - v[2])};
}

std::array<int, 3> srgb_of(const std::array<double, 3>& xyz) {
  constexpr double m[3][3] = {
      {3.2406, -1.5372, -0.4986}, {-0.9689, 1.8758, 0.0415}, {0.0557, -0.2040, 1.0570}};
  std::array<int, 3> out{};
  for (std::size_t c = 0; c < 3; ++c) {
    const double linear = std::clamp(m[c][0] * xyz[0] + m[c][1] * xyz[1] + m[c][2] * xyz[2], 0.0, 1.0);
    const double coded = linear <= 0.0031308 ? 12.92 * linear : 1.055 * std::pow(linear, 1.0 / 2.4) - 0.055;
    out[c] = static_cast<int>(std::lround(255.0 * coded));
  }
  return out;
}

/// The limits lie where the computed colours change most; they are not fitted to any temperature.
const char* name_of(const std::array<double, 3>& lab) {
  const double chroma = std::hypot(lab[1], lab[2]);
  double hue = std::atan2(lab[2], lab[1]) * 180.0 / std::numbers::pi;
  if (hue < 0.0)
    hue += 360.0;
  if (hue >= 60.0 && hue < 125.0) {
    if (chroma < 8.0)
      return "bright";
    if (chroma < 20.0)
      return "faint straw";
    return chroma < 34.0 && hue > 80.0 ? "straw" : "dark straw";
  }
  if (hue < 60.0 || hue >= 345.0)
    return "brown";
  if (hue >= 305.0)
    return "purple";
  if (lab[0] < 24.0)
    return "dark blue";
  if (lab[0] < 47.0)
    return "blue";
  return chroma > 17.0 ? "light blue" : "grey";
}

constexpr double second_order_m = 95e-9; ///< thicker films go round the colours again; seen as grey

} // namespace

double oxide_rate(double T_degC) {
  constexpr double fitted_at_degC = 250.0;
  return oxide_rate_250_per_s * std::exp(oxide_activation_J_mol / gas_constant_J_molK *
                                         (1.0 / kelvin(fitted_at_degC) - 1.0 / kelvin(T_degC)));
}

double oxide_over(const std::vector<HistoryPoint>& history, double before_m) {
  constexpr double step_K = 1.0;
  double progress = std::expm1(before_m / oxide_decay_m);
  for (std::size_t i = 1; i < history.size(); ++i) {
    const HistoryPoint &a = history[i - 1], &b = history[i];
    const double dt = b.time_s - a.time_s, rise = b.T_degC - a.T_degC;
    if (!(dt > 0.0))
      continue;
    const int n = static_cast<int>(std::clamp(std::ceil(std::abs(rise) / step_K), 1.0, 100000.0));
    for (int k = 0; k < n; ++k)
      progress += oxide_rate(a.T_degC + rise * (k + 0.5) / n) * dt / n;
  }
  return oxide_decay_m * std::log1p(progress);
}

double oxide_reflectance(double oxide_m, double wavelength_m) {
  const double nm = 1e9 * wavelength_m;
  const Complex oxide = index(magnetite, nm), metal = index(iron, nm);
  const Complex outer = (1.0 - oxide) / (1.0 + oxide), inner = (oxide - metal) / (oxide + metal);
  const Complex there_and_back =
      std::exp(Complex(0.0, 4.0 * std::numbers::pi * oxide_m / wavelength_m) * oxide);
  return std::norm((outer + inner * there_and_back) / (1.0 + outer * inner * there_and_back));
}

std::string Colour::hex() const {
  char text[8];
  std::snprintf(text, sizeof text, "#%02X%02X%02X", static_cast<unsigned>(srgb[0]) & 255U,
                static_cast<unsigned>(srgb[1]) & 255U, static_cast<unsigned>(srgb[2]) & 255U);
  return text;
}

Colour oxide_colour(double oxide_m) {
  Colour colour;
  colour.xyz = tristimulus([&](double nm) { return oxide_reflectance(oxide_m, 1e-9 * nm); });
  const double scale = white()[1];
  for (double& value : colour.xyz)
    value /= scale;
  colour.lab = lab_of(colour.xyz);
  colour.srgb = srgb_of(colour.xyz);
  colour.name = oxide_m > second_order_m ? "grey" : name_of(colour.lab);
  return colour;
}

ColourHint colour_over(const std::vector<HistoryPoint>& history) {
  const auto shifted = [&](double by_K) {
    std::vector<HistoryPoint> out = history;
    for (HistoryPoint& p : out)
      p.T_degC += by_K;
    return oxide_over(out);
  };
  ColourHint hint;
  hint.oxide_m = oxide_over(history);
  hint.colour = oxide_colour(hint.oxide_m);
  hint.from = oxide_colour(shifted(-colour_doubt_K)).name;
  hint.to = oxide_colour(shifted(colour_doubt_K)).name;
  return hint;
}

} // namespace tq::steel
