#include "output/text.hpp"

#include "records/characters.hpp"

#include <algorithm>
#include <cmath>

namespace tq::output {
namespace {

constexpr double seam = 1e-6; ///< keeps 300.0000001 s from being rounded up to 6 min

bool starts_code_point(char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }

std::string half_steps(double twice) { return formatted("%.1f", std::max(0.0, twice) / 2); }

double whole_or_half(double value) { return std::round(value * 2) / 2; }

std::string half_figure(double value) {
  return std::abs(value - std::round(value)) < seam ? formatted("%.0f", value) : formatted("%.1f", value);
}

} // namespace

std::size_t columns(std::string_view text) {
  return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), starts_code_point));
}

std::string padded(std::string_view text, std::size_t width, bool right_aligned) {
  const std::size_t have = columns(text);
  const std::string blanks(width > have ? width - have : 0, ' ');
  return right_aligned ? blanks + std::string(text) : std::string(text) + blanks;
}

std::vector<std::string> folded(std::string_view text, std::size_t width) {
  std::vector<std::string> lines;
  std::string line;
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t from = text.find_first_not_of(" \n\t\r", at);
    if (from == std::string_view::npos)
      break;
    const std::size_t to = std::min(text.find_first_of(" \n\t\r", from), text.size());
    std::string word(text.substr(from, to - from));
    at = to;
    if (!line.empty() && columns(line) + 1 + columns(word) > width) {
      lines.push_back(line);
      line.clear();
    }
    while (columns(word) > width) {
      std::size_t cut = 0;
      for (std::size_t count = 0; cut < word.size(); ++cut)
        if (starts_code_point(word[cut]) && count++ == width)
          break;
      lines.push_back(word.substr(0, cut));
      word.erase(0, cut);
    }
    line += (line.empty() ? "" : " ") + word;
  }
  if (!line.empty() || lines.empty())
    lines.push_back(line);
  return lines;
}

std::string clean_utf8(std::string_view text, bool keep_controls) {
  std::string out;
  out.reserve(text.size());
  for (std::size_t at = 0; at < text.size();) {
    const records::Character c = records::character_at(text, at);
    if (c.length == 0 || (records::is_noncharacter(c.code) && !keep_controls))
      out += "\xEF\xBF\xBD";
    else if (c.code == 0 || (records::is_control(c.code) && !keep_controls))
      out += ' ';
    else if (keep_controls || !records::is_bidi_control(c.code))
      out += text.substr(at, c.length);
    at += std::max<std::size_t>(c.length, 1);
  }
  return out;
}

std::string xml_escaped(std::string_view text) {
  std::string out;
  for (const char c : clean_utf8(text))
    switch (c) {
    case '&':
      out += "&amp;";
      break;
    case '<':
      out += "&lt;";
      break;
    case '>':
      out += "&gt;";
      break;
    case '"':
      out += "&quot;";
      break;
    case '\'':
      out += "&#39;";
      break;
    default:
      out += c;
    }
  return out;
}

std::string lower_case(std::string_view ascii) {
  std::string out(ascii);
  for (char& c : out)
    if (c >= 'A' && c <= 'Z')
      c = static_cast<char>(c - 'A' + 'a');
  return out;
}

std::string upper_case(std::string_view ascii) {
  std::string out(ascii);
  for (char& c : out)
    if (c >= 'a' && c <= 'z')
      c = static_cast<char>(c - 'a' + 'A');
  return out;
}

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

std::string hrc_range_text(double least, double most, double band) {
  if (!std::isfinite(least) || !std::isfinite(most))
    return "-";
  const std::string from = hrc_text(least), to = hrc_text(most);
  if (from == "below 20" && to == from)
    return "below 20 HRC";
  return (from == to ? from : from + " to " + to) + " HRC " + band_text(band);
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

} // namespace tq::output
