#include "output/band_words.hpp"

#include "answers/figures.hpp"
#include "output/text.hpp"

#include <algorithm>
#include <cmath>
#include <ostream>

namespace tq::output {
namespace {

using answers::Band;
using answers::BandedVerdict;
using answers::Bands;
using answers::Cause;
using answers::StationBands;
using answers::Verdict;
using answers::ZoneBands;

constexpr std::size_t band_label_width = 22;
constexpr std::size_t causes_told = 2;
constexpr double worth_telling = 0.05; ///< share of the variance

std::string mostly(const Bands& bands, const std::vector<Cause>& causes) {
  std::string text;
  for (std::size_t k = 0; k < std::min(causes_told, causes.size()); ++k)
    if (causes[k].share >= worth_telling)
      text += (text.empty() ? "; mostly " : ", ") + bands.inputs.at(causes[k].input).name + " (" +
              formatted("%.0f %%", 100 * causes[k].share) + ")";
  return text;
}

std::string figure_text(const Bands& bands, const Band& band, answers::Show show) {
  if (!(band.known > 0))
    return "-";
  const auto told = [&](double value) { return answers::told(show, value); };
  const std::string middle = told(band.middle), low = told(band.low), high = told(band.high);
  if (low == high)
    return middle + " in nearly every draw";
  std::string text = middle + ", between " + low + " and " + high;
  if (band.known < 0.995)
    text += formatted(" where there is one (%.0f %% of the draws)", 100 * band.known);
  return text + mostly(bands, band.causes);
}

/// The zone whose figure is worst, the band's `middle` deciding.
const ZoneBands& least_zone(const treatment::Case& c, const StationBands& s, const std::string& key) {
  const ZoneBands* least = &s.zones.front();
  for (std::size_t z = 0; z < s.zones.size(); ++z) {
    if (c.wanted_zones(c.station_called(s.name))[z] == treatment::Wanted::soft)
      continue;
    const ZoneBands& zone = s.zones[z];
    const Band *a = zone.find(key), *b = least->find(key);
    if (a != nullptr && (b == nullptr || a->low < b->low))
      least = &zone;
  }
  return *least;
}

class Writer {
 public:
  Writer(const Bands& bands, const StationBands& s) : bands_(bands), s_(s) {}

  void station(const char* label, const char* key) {
    add(label, s_.find(key), answers::figure_of_station(key).show);
  }
  void zone(const std::string& label, const ZoneBands& zone, const char* key) {
    add(label, zone.find(key), answers::figure_of_zone(key).show);
  }
  std::vector<Entry> take() { return std::move(entries_); }

 private:
  void add(const std::string& label, const Band* band, answers::Show show) {
    if (band != nullptr && !std::isnan(band->nominal))
      entries_.push_back({label, figure_text(bands_, *band, show), {}});
  }

  const Bands& bands_;
  const StationBands& s_;
  std::vector<Entry> entries_;
};

std::vector<Entry> figures(const treatment::Case& c, const Bands& bands, const StationBands& s) {
  Writer w(bands, s);
  const ZoneBands &edge = s.zones[treatment::zone_edge], &thick = s.zones[treatment::zone_thickest];
  w.station("timer from the door", "timer_from_door");
  w.zone("soak, thickest", thick, "soak");
  w.zone("carbon in solution", thick, "carbon_in_solution");
  w.zone("edge into the bath", edge, "into_bath");
  w.station("transfer to spare", "transfer_to_spare");
  const ZoneBands& limiting = least_zone(c, s, "rate_margin");
  w.zone("cooling, " + limiting.name, limiting, "rate_margin");
  w.zone("transformed, " + limiting.name, limiting, "transformed");
  w.station("bath afterwards", "bath_end");
  w.station("lift, below flash", "lift_below_flash");
  w.zone("retained austenite", thick, "retained_austenite");
  w.zone("HRC as quenched", thick, "hardness_as_quenched");
  if (c.has(treatment::Part::temper) && c.tempers() > 0) {
    w.zone("HRC tempered, edge", edge, "hardness_tempered");
    w.zone("HRC tempered, spine", s.zones[treatment::zone_spine], "hardness_tempered");
  }
  return w.take();
}

Entry verdict(const char* label, const Bands& bands, const BandedVerdict& v) {
  std::string text =
      upper_case(answers::verdict_name(v.verdict)) +
      formatted(", passes in %.0f %% of the draws", std::floor(100 * v.passing + 1e-9)) +
      (v.failing > 0 ? formatted(", fails in %.0f %%", std::max(1.0, std::floor(100 * v.failing + 1e-9)))
                     : std::string());
  if (v.passing > 0 && v.passing < 1)
    text += mostly(bands, v.causes);
  return {label, text, {}};
}

} // namespace

BandWords band_words(const treatment::Case& c, const Bands& bands) {
  BandWords out;
  out.heading =
      formatted("What is not known exactly drawn %d times (%zu inputs, seed %llu): the middle, and the "
                "band that holds nine in ten. PASS when nine draws in ten pass and hardly any fails, FAIL "
                "when most fail and at most one in five passes; the hardness by "
                "the chance of landing in the wish, PASS when nine in ten land in it or within what a "
                "tester errs, FAIL when three in four do not.",
                bands.members, bands.inputs.size(), static_cast<unsigned long long>(bands.seed));
  if (c.uncertainty.learnt)
    out.heading += " How far each may be off is narrowed " + c.uncertainty.learnt->from + ".";
  if (bands.soak.verdict != Verdict::not_asked)
    out.verdicts.push_back(verdict("SOAK", bands, bands.soak));
  if (bands.quench.verdict != Verdict::not_asked)
    out.verdicts.push_back(verdict("QUENCH", bands, bands.quench));
  if (bands.hardness.verdict != Verdict::not_asked)
    out.verdicts.push_back(verdict("HARDNESS", bands, bands.hardness));
  for (const StationBands& s : bands.stations)
    out.stations.push_back({s.name, figures(c, bands, s)});
  if (bands.failed > 0)
    out.notes.push_back(formatted("%d of %d draws could not be computed and count nowhere; the first: ",
                                  bands.failed, bands.members) +
                        bands.first_failure);
  return out;
}

void print_bands(std::ostream& out, const treatment::Case& c, const Bands& bands) {
  const BandWords words = band_words(c, bands);
  const auto entry = [&](const Entry& e, std::size_t width) {
    const std::vector<std::string> lines = folded(clean_utf8(e.text), page_width - 2 - width);
    for (std::size_t k = 0; k < lines.size(); ++k)
      out << "  " << padded(k == 0 ? e.label : "", width) << lines[k] << "\n";
  };
  out << "\nBANDS\n";
  for (const std::string& text : folded(words.heading, page_width - 2))
    out << "  " << text << "\n";
  for (const BandWords::Station& s : words.stations) {
    if (words.stations.size() > 1)
      out << "  " << clean_utf8(s.name) << "\n";
    for (const Entry& e : s.figures)
      entry(e, band_label_width);
  }
  for (const std::string& note : words.notes)
    entry({"!", note, {}}, 2);
}

} // namespace tq::output
