#include "output/terminal.hpp"

#include "answers/bath_limit.hpp"
#include "answers/decision.hpp"
#include "answers/ledger.hpp"
#include "answers/margins.hpp"
#include "answers/wanted.hpp"
#include "output/figures.hpp"
#include "output/judged.hpp"
#include "output/key_figures.hpp"
#include "output/risk_words.hpp"
#include "output/text.hpp"
#include "steel/transformation.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <ostream>

namespace tq::output {
namespace {

using answers::Answers;
using answers::Judgement;
using answers::over_stations;
using answers::StationAnswer;
using answers::told_of;
using answers::Verdict;
using answers::ZoneAnswer;
using treatment::Case;
using treatment::Part;
using treatment::Run;

constexpr std::size_t label_width = 11;  ///< of the verdict strip and the settings
constexpr std::size_t figure_width = 42; ///< of the labels of the zone table
constexpr std::size_t cell_width = 13;   ///< at least; wider below the name of zones that coincide

std::string verdict_word(Verdict verdict, bool colour) {
  std::string word = padded(upper_case(answers::verdict_name(verdict)), 10);
  if (!colour || verdict == Verdict::not_asked)
    return word;
  const char* code = verdict == Verdict::pass ? "32" : verdict == Verdict::marginal ? "33" : "31";
  return formatted("\x1b[1;%sm%s\x1b[0m", code, word.c_str());
}

/// One column of the zone table.
struct Column {
  std::string name;
  const ZoneAnswer* zone;
  std::size_t width() const { return std::max(cell_width, columns(name) + 2); }
};

/// The zones of a station; those at the same place share a column: "spine, thickest".
std::vector<Column> zone_columns(const StationAnswer& s) {
  constexpr double same_place_m = 1e-9;
  std::vector<Column> shown;
  for (const ZoneAnswer& zone : s.zones) {
    const auto same = std::find_if(shown.begin(), shown.end(), [&](const Column& c) {
      return std::abs(c.zone->x_m - zone.x_m) < same_place_m;
    });
    if (same == shown.end())
      shown.push_back({zone.name, &zone});
    else
      same->name += ", " + zone.name;
  }
  return shown;
}

const char* station_word(const std::vector<StationAnswer>& stations) {
  return stations.size() > 1 ? ", the worst of the stations" : "";
}

class Page {
 public:
  Page(std::ostream& out, const Case& c, const std::vector<Run>& runs, const Answers& a,
       const answers::Risks* risks, bool colour)
      : out_(out), case_(c), runs_(runs), answers_(a), risks_(risks), colour_(colour),
        told_(a.cautions.size(), false) {}
  /// Writes no lines but keeps the pieces.
  Page(std::ostream& nowhere, const Case& c, const std::vector<Run>& runs, const Answers& a, Account& account)
      : Page(nowhere, c, runs, a, nullptr, false) {
    account_ = &account;
  }

  void print() {
    decision(answers::decide(answers_, risks_));
    verdicts();
    settings();
    for (std::size_t k = 0; k < answers_.stations.size(); ++k)
      station(k);
    probes();
    rest();
  }

  void print_brief() {
    decision(answers::decide(answers_, risks_), 3);
    constexpr std::size_t odd_told = 2; // the rest stands under the warnings
    for (std::size_t k = 0; k < std::min(odd_told, case_.odd.size()); ++k)
      entry("ODD", case_.odd[k], 0);
    if (case_.hardness_wished() && !case_.tempered())
      entry("ODD", "a hardness is wished, but the case has no [temper]: it is not judged", 0);
    line();
    std::string also;
    for (const answers::NamedVerdict& v : answers::all_verdicts(answers_, risks_)) {
      const Judgement& j = *v.judgement;
      if (is_risk(v) && j.verdict == Verdict::pass)
        also += (also.empty() ? "" : ", ") + std::string(v.name);
      else if (j.verdict != Verdict::not_asked)
        strip(upper_case(v.name), j, brief_reason(v), j.verdict == Verdict::pass ? 1 : 2);
    }
    line(std::string(label_width, ' ') + judged_in_shop(case_, answers_.draws) +
         (also.empty() ? "" : "; PASS: " + also));
    line();
    line("SET");
    brief_settings();
    brief_cautions();
  }

 private:
  /// As many clauses as its lines hold: one for what passes, two for what does not.
  std::string brief_reason(const answers::NamedVerdict& v) const {
    const std::string_view name = v.name;
    if (risks_ != nullptr && (name == "bow" || name == "crack"))
      return name == "bow" ? brief_bow(*risks_) : brief_crack(*risks_);
    constexpr std::size_t line_room = page_width - label_width - 10;
    const std::size_t room = v.judgement->verdict == Verdict::pass ? line_room : 2 * line_room - 12; // folds
    return v.judgement->reason.within(room);
  }

  void brief_settings() {
    const auto& all = answers_.stations;
    if (case_.heated()) {
      const treatment::Furnace& f = case_.furnace();
      entry("furnace",
            temperature_text(f.setpoint_degC) + " on the display, blade in " +
                (f.loading == treatment::Loading::hot ? "hot" : "cold") +
                (case_.wrap.layers > 0 ? ", in foil of " + length_text(case_.wrap.thickness_m) : ", bare"));
      const double used = over_stations(all, "timer_used");
      if (transforms()) {
        std::string text = timer_text(true);
        if (std::isfinite(used) && std::abs(used - recommended_timer()) > 30)
          text += "; computed: out after " + minutes_up(used);
        entry("timer", text);
      }
    }
    if (case_.carried()) {
      std::string text = seconds_set(case_.transfer().time_s) + " to the bath";
      if (transforms() && case_.quenched())
        if (const std::string spare = transfer_text(true); !spare.empty())
          text += ", " + spare;
      entry("transfer", text);
    }
    if (case_.quenched()) {
      const treatment::Bath& b = case_.bath();
      std::string text = b.coolant.name + " at " + temperature_text(b.temperature_degC);
      if (b.plates)
        text += ", each " + length_text(b.plates->thickness_m) + " thick";
      else if (b.volume_m3 > 0)
        text += ", " + volume_text(b.volume_m3);
      if (b.immersion_m > 0)
        text += ", edge only, " + length_text(b.immersion_m) + " deep";
      if (const std::string limit = told_of(all, "bath_limit");
          b.coolant.kind == records::CoolantKind::oil && limit != "-")
        text += "; at most " + limit;
      entry(b.coolant.kind == records::CoolantKind::oil     ? "oil"
            : b.coolant.kind == records::CoolantKind::water ? "water"
                                                            : "bath",
            text);
      text = "after " + time_in_bath(case_, answers_) + (b.plates ? " between the plates" : " in the bath");
      if (const std::string flash = told_of(all, lift_figure(), true); b.coolant.flash_degC && flash != "-")
        text += ", not before " + flash + " (flash point)";
      if (const treatment::Bath* then = case_.second_bath())
        text += "; then " + then->coolant.name + " at " + temperature_text(then->temperature_degC) + " for " +
                seconds_set(then->time_s);
      entry("lift out", text);
    }
    if (case_.cooled()) {
      const std::string hardness = transforms() ? hardness_text(all, "as_quenched") : "-";
      entry("cool", "to " + temperature_text(case_.lowest_degC()) +

                        (hardness == "-" ? "" : "; as quenched " + hardness));
    }
    if (case_.tempered()) {
      std::string text = formatted("%d x %s at %s", case_.tempers(), hours_text(case_.oven().time_s).c_str(),
                                   temperature_text(case_.oven().oven_degC).c_str());
      if (const std::string hardness = hardness_text(all, "tempered"); transforms() && hardness != "-")
        text += ": " + hardness + wanted_text();
      entry("temper", text);
    }
  }

  std::string wanted_text() const {
    const std::string wish = answers::wish_text(case_);
    return wish.empty() ? "" : "; wanted " + wish;
  }

  /// What burns, cuts and breaks first; the others by number.
  void brief_cautions() {
    constexpr std::size_t most = 3;
    std::size_t told = 0;
    line();
    for (const std::string_view beside : {"oil", "transfer", "as quenched", "furnace", "temper"})
      for (const answers::Caution& caution : answers_.cautions)
        if (caution.beside == beside && told < most && !caution.of_limit) {
          bullet("! ", caution.text, 0);
          ++told;
          break;
        }
    std::size_t rest = 0;
    for (const answers::Caution& caution : answers_.cautions)
      rest += caution.beside == "all" ? 0 : 1;
    for (const answers::Caution& caution : answers_.cautions)
      if (caution.beside == "all") {
        bullet("! ", caution.text, 0);
        break;
      }
    if (rest > told)
      line(formatted("! %zu more cautions, the zones and the bands: --full, the sheet and the report.",
                     rest - told));
  }

  bool transforms() const { return !case_.steel.inert; }

  void line(std::string_view text = {}) { out_ << clean_utf8(text) << '\n'; }

  /// A label, then text folded beside it.
  void entry(std::string_view label, std::string_view text, std::size_t indent = 2) {
    if (account_ != nullptr) {
      std::vector<Entry>& to = account_->tables.empty() ? account_->settings : account_->tables.back().notes;
      to.push_back({std::string(label), clean_utf8(text), {}});
      return;
    }
    const std::size_t left = indent + label_width;
    const std::vector<std::string> lines = folded(clean_utf8(text), page_width - left);
    for (std::size_t k = 0; k < lines.size(); ++k)
      line(std::string(indent, ' ') + padded(k == 0 ? label : "", label_width) + lines[k]);
  }

  void bullet(std::string_view mark, std::string_view text, std::size_t indent) {
    const std::vector<std::string> lines = folded(clean_utf8(text), page_width - indent - mark.size());
    for (std::size_t k = 0; k < lines.size(); ++k)
      line(std::string(indent, ' ') + (k == 0 ? std::string(mark) : std::string(mark.size(), ' ')) +
           lines[k]);
  }

  /// The cautions that stand beside a number.
  void cautions(std::string_view beside, std::size_t indent = 2 + label_width) {
    for (std::size_t k = 0; k < told_.size(); ++k)
      if (!told_[k] && answers_.cautions[k].beside == beside) {
        told_[k] = true;
        if (account_ != nullptr && !account_->settings.empty())
          account_->settings.back().cautions.push_back(answers_.cautions[k].text);
        bullet("! ", answers_.cautions[k].text, indent);
      }
  }

  /// Go or not, why, what to change.
  void decision(const answers::Decision& d, std::size_t most_changes = 9) {
    if (account_ != nullptr)
      return;
    line();
    const std::string word = answers::go_word(d.go);
    const std::size_t left = std::max<std::size_t>(label_width, word.size() + 2);
    const std::vector<std::string> lines = folded(clean_utf8(d.because), page_width - left);
    for (std::size_t k = 0; k < lines.size(); ++k) {
      const std::string head = padded(k == 0 ? word : "", left);
      const char* code = d.go == answers::Go::go ? "32" : d.go == answers::Go::with_care ? "33" : "31";
      out_ << (colour_ && k == 0 && d.go != answers::Go::not_asked
                   ? formatted("\x1b[1;%sm%s\x1b[0m", code, head.c_str())
                   : head)
           << lines[k] << '\n';
    }
    for (std::size_t k = 0; k < std::min(most_changes, d.changes.size()); ++k)
      entry(k == 0 ? "change" : "", d.changes[k], 0);
  }

  /// One verdict; `most`: lines of its reason.
  void strip(const std::string& name, const Judgement& j, const std::string& reason, std::size_t most = 99) {
    const std::size_t left = label_width + 10;
    const std::vector<std::string> lines = folded(clean_utf8(reason), page_width - left);
    for (std::size_t k = 0; k < std::min(most, lines.size()); ++k) {
      std::string text = k == 0 ? padded(name, label_width) + verdict_word(j.verdict, colour_) + lines[k]
                                : std::string(left, ' ') + lines[k];
      while (!text.empty() && text.back() == ' ')
        text.pop_back();
      out_ << text << '\n';
    }
  }

  void verdicts() {
    line();
    strip("SOAK", answers_.soak, answers_.soak.reason.text());
    strip("QUENCH", answers_.quench, answers_.quench.reason.text());
    strip("HARDNESS", answers_.hardness, answers_.hardness.reason.text());
    for (const answers::NamedVerdict& v : answers::all_verdicts(answers_, risks_))
      if (is_risk(v) && v.judgement->verdict != Verdict::not_asked)
        strip(upper_case(v.name), *v.judgement, v.judgement->reason.text());
    line(std::string(label_width, ' ') + judged_in_shop(case_, answers_.draws));
  }

  static bool is_risk(const answers::NamedVerdict& v) {
    const std::string_view name = v.name;
    return name != "soak" && name != "quench" && name != "hardness";
  }

  void settings() {
    line();
    line("SET");
    std::string before;
    for (std::size_t k = 0; k < case_.hardening().furnace.value_or(0); ++k)
      before += (before.empty() ? "" : ", ") + case_.steps[k].name;
    if (!before.empty())
      entry("before", before);
    if (case_.heated())
      furnace();
    if (case_.carried())
      transfer();
    if (case_.quenched())
      bath();
    if (case_.cooled())
      cool();
    if (case_.tempered())
      temper();
  }

  /// By the cautious end where draws were made; NaN when none gives the asked soak.
  double recommended_timer() const {
    const double careful = over_stations(answers_.stations, "timer_careful", true);
    return std::isfinite(careful) ? careful : over_stations(answers_.stations, "timer_from_door", true);
  }

  /// Which timer gives the asked soak: by the cautious end where draws were made, the middle beside it.
  std::string timer_text(bool brief = false) const {
    const auto& all = answers_.stations;
    const double door = over_stations(all, "timer_from_door", true),
                 careful = over_stations(all, "timer_careful", true),
                 ready = over_stations(all, "display_ready", true);
    if (!std::isfinite(door))
      return formatted("no timer gives the asked soak of %s: a zone never comes within %s of the furnace",
                       minutes_up(case_.wishes.soak_s).c_str(),
                       difference_text(case_.wishes.within_K).c_str());
    const bool drawn = std::isfinite(careful);
    const double timer = drawn ? careful : door;
    const std::string from_display =
        drawn ? minutes_up(std::max(0.0, timer - ready)) : told_of(all, "timer_from_recovery", true);
    if (brief)
      return minutes_up(timer) + " from closing the door, " + from_display + " from the display's return" +
             (drawn ? ": nine in ten (middle " + minutes_up(door) + ")" : "");
    return formatted("%s from closing the door, or %s from when the display %s%s, for a soak of %s",
                     minutes_up(timer).c_str(), from_display.c_str(),
                     case_.furnace().loading == treatment::Loading::hot ? "is back at its setting"
                                                                        : "first shows its setting",
                     station_word(all), minutes_up(case_.wishes.soak_s).c_str()) +
           (drawn ? " in nine draws in ten (the middle is " + minutes_up(door) + ")" : "");
  }

  /// How much longer the way may take; empty when nothing is known.
  std::string transfer_text(bool brief = false) const {
    const ZoneAnswer* z = answers::least_zone(answers_.stations, &ZoneAnswer::transfer_to_spare_s);
    if (z == nullptr)
      return "";
    const double careful = over_stations(answers_.stations, "transfer_careful");
    const std::string middle = half_seconds_down(z->transfer_to_spare_s);
    if (std::isfinite(careful))
      return (careful >= 0.5 ? "up to " + half_seconds_down(careful) + " more" : "not a half second more") +
             " in nine draws in ten (" + middle + " in the middle" +
             (brief ? ")" : "; then the " + z->name + " no longer passes)");
    return z->transfer_to_spare_s >= 0.5 ? "up to " + half_seconds_down(z->transfer_to_spare_s) +
                                               " more before the " + z->name + " no longer passes"
                                         : "not a half second to spare (" + z->name + ")";
  }

  void furnace() {
    const auto& all = answers_.stations;
    const double used = over_stations(all, "timer_used");
    const treatment::Furnace& f = case_.furnace();
    if (transforms()) {
      entry("timer", timer_text());
      if (std::isfinite(used) && std::abs(used - recommended_timer()) > 30)
        entry("", formatted("worked out below: blade out after %s", minutes_up(used).c_str()));
      cautions("timer");
      cautions("soak");
    }
    std::string text = temperature_text(f.setpoint_degC) +
                       (f.log ? ", as logged over " + minutes_text(f.log->time_s.back())
                        : f.loading == treatment::Loading::hot ? " on the display, blade in hot"
                                                               : " on the display, blade in cold");
    if (f.droop_K > 0)
      text += "; on loading it sags by " + difference_text(f.droop_K) + " and is back after " +
              minutes_text(f.recovery_s);
    if (f.reading_offset_K != 0)
      text += formatted("; the furnace is %s %s than it shows",
                        difference_text(std::abs(f.reading_offset_K)).c_str(),
                        f.reading_offset_K > 0 ? "hotter" : "colder");
    entry("furnace", text);
    if (f.loading == treatment::Loading::cold)
      for (const surroundings::ProgrammeStep& step : f.programme)
        entry("", "to " + temperature_text(step.target_degC) +
                      (step.rate_K_s > 0 ? " at " + difference_text(step.rate_K_s * 3600) + " per hour"
                                         : " as fast as it will") +
                      ", hold " + minutes_up(step.hold_s));
    cautions("furnace");
    wrap();
  }

  void wrap() {
    const treatment::Wrap& w = case_.wrap;
    if (w.layers == 0) {
      entry("foil", "none, the blade lies bare");
    } else {
      const auto [narrow, wide] = std::minmax_element(w.gap_m.begin(), w.gap_m.end());
      std::string gap = length_text(*narrow);
      if (*wide > *narrow)
        gap += " to " + length_text(*wide);
      entry("foil",
            formatted("%d layer%s of %s, gap to the blade %s; %s", w.layers, w.layers > 1 ? "s" : "",
                      length_text(w.thickness_m).c_str(), gap.c_str(),
                      case_.quenched() ? w.on_in_oil ? "stays on in the oil" : "comes off before the oil"
                                       : "left on in the furnace"));
    }
    cautions("foil");
  }

  void transfer() {
    const treatment::Air& t = case_.transfer();
    std::string text = seconds_set(t.time_s) + " from the furnace to the bath";
    if (case_.wrap.layers > 0)
      text += case_.carried_in_foil() ? ", in the foil" : ", foil off at the furnace";
    entry("transfer", text);
    if (transforms() && case_.quenched())
      if (const std::string spare = transfer_text(); !spare.empty())
        entry("", spare);
    cautions("transfer");
  }

  void bath() {
    const treatment::Bath& b = case_.bath();
    std::string text = b.coolant.name + " at " + temperature_text(b.temperature_degC);
    if (b.plates)
      text += ", each " + length_text(b.plates->thickness_m) + " thick";
    else
      text += b.volume_m3 > 0 ? ", " + volume_text(b.volume_m3) : ", so much that it does not warm";
    if (b.immersion_m > 0)
      text += ", edge only, " + length_text(b.immersion_m) + " deep";
    if (b.agitation_m_s > 0)
      text += formatted(", moved at %.2g m/s", b.agitation_m_s);
    entry(b.coolant.kind == records::CoolantKind::oil     ? "oil"
          : b.coolant.kind == records::CoolantKind::water ? "water"
                                                          : "bath",
          text);
    const double rise = over_stations(answers_.stations, "bath_rise", true);
    if (b.volume_m3 > 0 && std::isfinite(rise)) {
      const std::string end = told_of(answers_.stations, "bath_end");
      entry("", b.blades > 1 ? formatted("the last of %d blades, %s apart, meets it at %s and warms it to %s",
                                         b.blades, hours_text(b.interval_s).c_str(),
                                         told_of(answers_.stations, "bath_start").c_str(), end.c_str())
                             : formatted("one blade warms it by %s to %s", difference_text(rise).c_str(),
                                         end.c_str()));
      entry("", row_text());
    }
    const bool oil_comes_second = case_.second_bath() && b.coolant.kind != records::CoolantKind::oil;
    if (!oil_comes_second)
      cautions("oil");

    text = "after " + time_in_bath(case_, answers_) + (b.plates ? " between the plates" : " in the bath");
    if (b.out_at_degC)
      text += ", at " + temperature_text(*b.out_at_degC);
    if (const std::string surface = told_of(answers_.stations, "surface_at_lift"); surface != "-")
      text += ": surface " + surface + ", inside " + told_of(answers_.stations, "centre_at_lift");
    entry("lift out", text);
    if (b.coolant.flash_degC)
      entry("", safe_lift("not before", "flash point", *b.coolant.flash_degC, lift_figure()));
    if (b.coolant.smoke_degC)
      entry("",
            safe_lift("without smoke after", "smoke temperature", *b.coolant.smoke_degC, "lift_below_smoke"));
    if (case_.second_bath())
      entry("then",
            (case_.second_bath()->move_s > 0 ? seconds_set(case_.second_bath()->move_s) + " later into "
                                             : std::string("at once into ")) +
                case_.second_bath()->coolant.name + " at " +
                temperature_text(case_.second_bath()->temperature_degC) + " for " +
                seconds_set(case_.second_bath()->time_s));
    if (case_.second_bath())
      second_lift(*case_.second_bath());
    if (oil_comes_second)
      cautions("oil");
    const double window = worst_window();
    if (std::isfinite(window) && window >= 0.5)
      entry("straighten", "within " + half_seconds_down(window) + " of lifting: then martensite begins");
    cautions("lift");
  }

  /// By the cautious end where draws were made.
  const char* lift_figure() const {
    return std::isfinite(over_stations(answers_.stations, "lift_careful", true)) ? "lift_careful"
                                                                                 : "lift_below_flash";
  }

  /// When a blade may come out of the second bath.
  void second_lift(const treatment::Bath& b) {
    const auto say = [&](const char* lead, const char* what, const std::optional<double>& level) {
      double latest = 0;
      for (const Run& run : runs_)
        for (const treatment::StepSpan& span : run.spans)
          if (span.step == run.hardening.second) {
            const double seconds = answers::seconds_until_below(run, span, level);
            latest = std::isnan(seconds) ? seconds : latest + std::max(0.0, seconds - latest); // NaN stays
          }
      if (level)
        entry("", safe_lift_after(lead, what, *level, half_seconds_up(latest)));
    };
    say("there not before", "flash point", b.coolant.flash_degC);
    say("there without smoke after", "smoke temperature", b.coolant.smoke_degC);
  }

  /// Seconds until the first zone stiffens; NaN when one has already, or when the case is not about that.
  double worst_window() const {
    double least = std::numeric_limits<double>::quiet_NaN();
    if (!case_.bath().out_at_degC && !case_.second_bath())
      return least;
    for (const StationAnswer& s : answers_.stations)
      for (const ZoneAnswer& z : s.zones) {
        if (!std::isfinite(z.straighten_s))
          return std::numeric_limits<double>::quiet_NaN();
        least = std::fmin(least, z.straighten_s);
      }
    return least;
  }

  /// How many blades the bath takes, how long to wait, how much of it there should be.
  std::string row_text() const {
    const treatment::Bath& b = case_.bath();
    const std::vector<StationAnswer>& all = answers_.stations;
    const double blades = over_stations(all, "blades_in_a_row");
    const std::string wait = told_of(all, "least_interval", true);
    const std::string stated = told_of(all, "least_bath_volume", true),
                      careful = told_of(all, "bath_volume_careful", true),
                      volume = careful == "-" ? stated : careful;
    const std::string limit = told_of(all, "bath_limit");
    const answers::BathLimit row = answers::row_limit(b, case_.thresholds.flash_margin_K);
    constexpr double seam_K = 0.5;
    if (b.temperature_degC > row.degC + seam_K) // no amount of it helps
      return "hotter than its limit of " + limit + " before the first blade: there " + row.by;
    const std::string apart = b.blades > 1 ? ", " + hours_text(b.interval_s) + " apart" : " without a wait";
    std::string text = blades < 1    ? "too little of it: one blade takes it past " + limit
                       : blades > 98 ? "it takes any number in a row" + apart + " below " + limit
                                     : formatted("stop after %.0f in a row", blades) + apart + ": above " +
                                           limit + " (there " + row.by + ") wait until it is back at " +
                                           temperature_text(b.temperature_degC);
    if (blades < 99 && wait != "-")
      text += "; " + wait + " apart it takes any number";
    if (volume != "-")
      text += "; at least " + volume + (b.blades > 1 ? " for this row" : " for one") +
              (volume == stated || stated == "-" ? "" : " (middle " + stated + ")") +
              ", and deep enough to cover blade and tongs";
    return text;
  }

  std::string safe_lift(const char* lead, const char* what, double degC, const char* figure) const {
    return safe_lift_after(lead, what, degC, told_of(answers_.stations, figure, true));
  }
  std::string safe_lift_after(const char* lead, const char* what, double degC,
                              const std::string& after) const {
    if (after == "-")
      return formatted("the surface does not fall below the %s, %s, in this time", what,
                       temperature_text(degC).c_str());
    return formatted("%s %s: then the surface is below the %s, %s", lead, after.c_str(), what,
                     temperature_text(degC).c_str());
  }

  void cool() {
    entry("cool", "in air to " + temperature_text(case_.cool().air_degC) +
                      (case_.lowest_degC() != case_.cool().air_degC
                           ? "; lowest before tempering " + temperature_text(case_.lowest_degC())
                           : "") +
                      (case_.wait_s() > 0 ? ", after lying in air for " + minutes_text(case_.wait_s()) : ""));
    cautions("cold");
    const std::string hardness = hardness_text(answers_.stations, "as_quenched");
    if (transforms() && hardness != "-") {
      entry("", "as quenched " + hardness);
      cautions("as quenched");
    }
  }

  void temper() {
    const treatment::Oven& t = case_.oven();
    if (case_.tempers() == 0) {
      entry("temper", "none");
    } else {
      std::string text = formatted("%d x %s at %s", case_.tempers(), hours_text(t.time_s).c_str(),
                                   temperature_text(t.oven_degC).c_str());
      if (t.swing_K > 0)
        text += ", the oven swings by " + difference_text(t.swing_K) + " either way";
      if (t.edge_extra_K > 0)
        text += ", the thin edge " + difference_text(t.edge_extra_K) + " hotter";
      entry("temper", text);
    }
    cautions("temper");
    const std::string hardness = hardness_text(answers_.stations, "tempered");
    if (transforms() && hardness != "-") {
      entry("", "after tempering " + hardness + wanted_text());
      cautions("tempered");
      cautions("hardness");
    }
  }

  using Cell = std::function<std::string(const ZoneAnswer&)>;

  /// One row of the zone table; left out when no zone has the figure. A page has room for `wide` cells.
  void row(const std::string& label, const Cell& cell, const std::string& wide_label, const Cell& wide) {
    std::string text = "  " + padded(label, figure_width);
    std::vector<std::string> cells{wide_label};
    bool any = false;
    for (const Column& column : zone_columns_) {
      const std::string figure = cell(*column.zone);
      any = any || figure != "-";
      text += padded(figure, column.width(), true);
      cells.push_back(wide(*column.zone));
    }
    if (!any)
      return;
    line(text);
    if (account_ != nullptr)
      account_->tables.back().rows.push_back(cells);
  }

  /// A row of temperatures: both scales, which stand in the label where there is little room.
  void temperature_row(const std::string& label, const std::function<double(const ZoneAnswer&)>& value) {
    const auto narrow = [&](const ZoneAnswer& z) {
      return std::isfinite(value(z)) ? formatted("%.0f (%.0f)", value(z), value(z) * 1.8 + 32) : "-";
    };
    row("degC (degF) " + label, narrow, label,
        [&](const ZoneAnswer& z) { return temperature_text(value(z)); });
  }

  /// Every figure of the zones that has a label, in the order of the table of figures.
  void zone_rows(const StationAnswer& s) {
    for (const answers::Figure& f : answers::figures()) {
      if (f.of_zone == nullptr || *f.label == '\0' || (f.asked != nullptr && !f.asked(case_)))
        continue;
      const std::string_view name = f.meaning.name;
      if (name == "into_bath" && case_.carried())
        for (std::size_t k = 0; k < in_air_times_s.size(); ++k)
          temperature_row(formatted("%.0f s out of the furnace", in_air_times_s[k]),
                          [k](const ZoneAnswer& z) { return z.in_air_degC[k]; });
      if (name == "martensite_start" && case_.quenched() && transforms())
        verdict_row();
      if (f.show == answers::Show::temperature) {
        temperature_row(f.label, f.of_zone);
      } else {
        const std::string label =
            f.show == answers::Show::rockwell
                ? f.label +
                      (", " + band_text(name == "hardness_as_quenched" ? s.hrc_as_quenched_band : s.hrc_band))
                : f.label;
        const Cell cell = [&](const ZoneAnswer& z) { return answers::told(f.show, f.of_zone(z)); };
        const Cell narrow = [&](const ZoneAnswer& z) { return cell(z).substr(0, cell(z).find(" (")); };
        row(label, narrow, label, cell);
      }
    }
  }

  void verdict_row() {
    const Cell cell = [](const ZoneAnswer& z) {
      if (z.wanted == treatment::Wanted::soft && z.hardens.verdict == Verdict::pass)
        return std::string("soft, as wished");
      return z.hardens.verdict == Verdict::not_asked ? std::string("-")
                                                     : upper_case(answers::verdict_name(z.hardens.verdict));
    };
    row("hardens", cell, "hardens", cell);
  }

  void station(std::size_t index) {
    const StationAnswer& s = answers_.stations[index];
    line();
    for (const std::string& part : folded(clean_utf8("STATION " + s.name), page_width))
      line(part);
    if (index < runs_.size() && !runs_[index].grid.x.empty()) {
      const section::Grid& grid = runs_[index].grid;
      const auto thick = [&](std::size_t i) {
        return grid.half ? 2 * grid.top[i] : grid.top[i] - grid.bottom[i];
      };
      line("  " + length_text(grid.x.back()) + " wide, spine " + length_text(thick(0)) + ", edge " +
           length_text(thick(grid.x.size() - 1)));
    }
    if (std::isfinite(s.mass_kg) && s.mass_kg > 0)
      line("  a blade of this section weighs " + answers::told(answers::Show::grams, s.mass_kg));
    zone_columns_ = zone_columns(s);
    if (account_ != nullptr) {
      account_->tables.emplace_back();
      for (const Column& column : zone_columns_)
        account_->tables.back().heads.push_back(column.name);
    }
    std::string head(2 + figure_width, ' ');
    for (const Column& column : zone_columns_)
      head += padded(column.name, column.width(), true);
    line(head);
    zone_rows(s);
    if (transforms())
      surface(s);
  }

  /// A depth to grind away: hundredths of a millimetre are what can be measured.
  static std::string depth(double m) {
    return m < 10e-6 ? "less than 0.01 mm (0.0004 in)" : formatted("%.2f mm (%.4f in)", m * 1e3, m / 0.0254);
  }

  static std::string told_surface(const char* name, double value) {
    return answers::told(answers::figure_of_station(name).show, value);
  }

  void soak_window(const answers::SurfaceAnswer& at) {
    if (at.soak_too_short.empty())
      return;
    if (!std::isfinite(at.soak_earliest_s)) {
      entry("soak", "no soak at this temperature is long enough: " + at.soak_too_short);
      return;
    }
    std::string text = "sensible at this temperature: from " + minutes_up(at.soak_earliest_s);
    if (!std::isfinite(at.soak_latest_s))
      text += " on";
    else if (at.soak_latest_s > at.soak_earliest_s)
      text += " to " + told_surface("soak_latest", at.soak_latest_s);
    else
      text = "nothing is sensible at this temperature: enough after " + minutes_up(at.soak_earliest_s) +
             ", but overdone from " + told_surface("soak_latest", at.soak_latest_s);
    entry("soak", text + "; " + at.soak_too_short + "; " + at.soak_too_long);
  }

  /// What cold before the temper turned, and what it would leave; thickest zone.
  void cold(const StationAnswer& s) {
    if (s.cold.empty() || s.zones[treatment::zone_thickest].wanted != treatment::Wanted::hard)
      return;
    const ZoneAnswer& thickest = s.zones[treatment::zone_thickest];
    std::string text;
    constexpr double a_trace = 5e-4; // rounds to 0.1 %
    if (s.cold_gain < a_trace)
      text = "turned no more austenite; ";
    else if (std::isfinite(s.cold_gain))
      text = "turned " + percent_text(s.cold_gain) + " of austenite to martensite" +
             (case_.wait_s() > 0 ? " (more without the wait)" : "") + "; ";
    text += "austenite " + percent_text(thickest.retained_austenite) + ", as quenched " +
            hrc_text(thickest.as_quenched_HRC) + " HRC; would be";
    for (std::size_t k = 0; k < s.cold.size(); ++k)
      text += (k > 0 ? ", " : " ") + percent_text(s.cold[k].retained_austenite) + " and " +
              hrc_text(s.cold[k].as_quenched_HRC) + " after " + s.cold[k].medium + " at " +
              temperature_text(s.cold[k].temperature_degC);
    text += ". Dry ice and nitrogen burn skin and take the air to breathe: gloves, shield, open doors, never "
            "a sealed vessel; the shock can crack a blade";
    entry("cold", text);
  }

  /// What the hand that grinds, files and looks will find.
  void surface(const StationAnswer& s) {
    const answers::SurfaceAnswer& at = s.surface;
    if (std::isfinite(at.least_edge_m)) {
      entry("skin", "grind off " + depth(at.grind_per_side_m) + " per side after hardening; soft to " +
                        depth(at.soft_depth_m) + ", scale took " + depth(at.scale_loss_m));
      entry("edge", "leave at least " + told_surface("least_edge", at.least_edge_m) + " before hardening: " +
                        (at.edge_governed_by == "skin"
                             ? "the decarburised skin decides"
                             : "thinner cools too soon and buckles, the skin would allow less"));
    }
    if (std::isfinite(at.grain_number))
      entry("grain", formatted("about ASTM %.0f at the end of the soak", at.grain_number));
    soak_window(at);
    cold(s);
    if (std::isfinite(at.flash_limit_degC))
      entry("grinding", "after the temper: a second at " + told_surface("flash_limit", at.flash_limit_degC) +
                            " under the belt takes off another HRC");
    if (!at.file_as_quenched.empty())
      entry("file", at.file_as_quenched + " at the edge as quenched (it cannot see a tenth of pearlite)");
    if (std::isfinite(at.rockwell_thickness_m))
      entry("tester", "Rockwell C needs " + length_text(at.rockwell_thickness_m) + " and parallel faces: " +
                          (std::isfinite(at.rockwell_from_m)
                               ? "read from " + length_text(at.rockwell_from_m) + " to " +
                                     length_text(at.rockwell_to_m) + " from the spine"
                               : std::string("nowhere on this section, read on the flat of the tang")));
    if (!at.temper_colour.empty())
      entry("colour",
            "a hint, not a control: " + at.temper_colour +
                (at.temper_colour_edge != at.temper_colour ? ", edge " + at.temper_colour_edge : "") +
                (case_.tempers() > 1 ? " after all tempers" : " after the temper") + " on clean steel (" +
                at.temper_colour_doubt + ")");
  }

  void probes() {
    for (const Run& run : runs_) {
      if (run.probes.empty())
        continue;
      line();
      line("PROBES " + run.station + ", degC at the end of each stage");
      std::string head = "  " + padded("", 20);
      for (const treatment::StepSpan& span : run.spans)
        head += padded(span_name(span), 12, true);
      line(head);
      for (const treatment::Trace& probe : run.probes) {
        std::string text = "  " + padded(probe.name, 20);
        for (const treatment::StepSpan& span : run.spans)
          text += padded(at_end(run, probe, span), 12, true);
        line(text);
      }
    }
  }

  static std::string span_name(const treatment::StepSpan& span) {
    std::string name = treatment::part_name(span.part);
    if (span.cycle > 0)
      name += formatted(" %d", span.cycle);
    return name;
  }

  /// Last step that still belongs to the stage.
  static std::string at_end(const Run& run, const treatment::Trace& probe, const treatment::StepSpan& span) {
    const double slack = 1e-9 * std::max(1.0, std::abs(span.to_s));
    const auto after = std::upper_bound(run.time_s.begin(), run.time_s.end(), span.to_s + slack);
    if (after == run.time_s.begin())
      return "-";
    const auto step = static_cast<std::size_t>(after - run.time_s.begin() - 1);
    return step < probe.temperature.size() ? formatted("%.1f", probe.temperature[step]) : "-";
  }

  void rest() {
    const bool open = std::find(told_.begin(), told_.end(), false) != told_.end();
    if (open) {
      line();
      line("CAUTIONS");
      for (std::size_t k = 0; k < told_.size(); ++k)
        if (!told_[k]) {
          const answers::Caution& caution = answers_.cautions[k];
          if (account_ != nullptr)
            account_->cautions.push_back(caution.text);
          bullet("  - ", caution.beside == "all" ? caution.text : caution.beside + ": " + caution.text, 0);
        }
    }
    std::vector<std::string> warnings = answers_.warnings;
    for (const Run& run : runs_)
      for (const std::string& warning : run.warnings)
        if (std::find(warnings.begin(), warnings.end(), warning) == warnings.end())
          warnings.push_back(warning);
    list("WARNINGS", warnings);
    std::vector<std::string> assumptions;
    for (const std::string& text : answers_.assumptions)
      if (std::find(case_.defaults.begin(), case_.defaults.end(), text) == case_.defaults.end())
        assumptions.push_back(text);
    list("WHAT THE FIGURES REST ON", assumptions);
    list("NOT IN THE CASE FILE, SO ASSUMED", case_.defaults);
  }

  void list(const char* heading, const std::vector<std::string>& texts) {
    if (account_ != nullptr) {
      std::vector<std::string>& to =
          std::string_view(heading) == "WARNINGS" ? account_->warnings : account_->assumptions;
      to.insert(to.end(), texts.begin(), texts.end());
    }
    if (texts.empty())
      return;
    line();
    line(heading);
    for (const std::string& text : texts)
      bullet("  - ", text, 0);
  }

  std::ostream& out_;
  const Case& case_;
  const std::vector<Run>& runs_;
  const Answers& answers_;
  const answers::Risks* risks_; ///< may be null
  bool colour_;
  std::vector<bool> told_;
  Account* account_ = nullptr;       ///< collects the pieces instead of writing them
  std::vector<Column> zone_columns_; ///< of the station being printed
};

/// Verdicts and settings in three sentences.
std::string verdicts_in_short(const Case& c, const Answers& a, const answers::Risks* risks) {
  std::string text;
  for (const answers::NamedVerdict& v : answers::all_verdicts(a, risks))
    text += (text.empty() ? "" : ", ") + std::string(v.name) + " " +
            upper_case(answers::verdict_name(v.judgement->verdict));
  return text + " (" + judged_in_shop(c, a.draws) + ")";
}

std::string in_short(const Case& c, const Answers& a, const answers::Risks* risks) {
  std::string text = verdicts_in_short(c, a, risks) + ".";
  if (c.heated() && !c.steel.inert && answers::nothing_to_quench(a))
    return text; // no settings to follow; the reasons say why
  if (c.heated() && !c.steel.inert) {
    const std::string used = told_of(a.stations, "timer_used");
    if (used != "-")
      text += " Set " + temperature_text(c.furnace().setpoint_degC) + ", " + used + " from closing the door.";
  }
  const std::string hardness = hardness_text(a.stations, "tempered");
  if (c.tempered() && hardness != "-")
    text += formatted(" Temper %d x %s at %s: ", c.tempers(), hours_text(c.oven().time_s).c_str(),
                      temperature_text(c.oven().oven_degC).c_str()) +
            hardness + ".";
  for (const std::string& odd : c.odd)
    text += " ODD: " + odd;
  return text;
}

} // namespace

void print_answers(std::ostream& out, const Case& c, const std::vector<Run>& runs, const Answers& a,
                   const answers::Risks* risks, bool colour) {
  Page(out, c, runs, a, risks, colour).print();
}

void print_brief(std::ostream& out, const Case& c, const Answers& a, const answers::Risks* risks,
                 bool colour) {
  Page(out, c, {}, a, risks, colour).print_brief();
}

Account account_of(const Case& c, const std::vector<Run>& runs, const Answers& a) {
  Account account;
  std::ostream nowhere(nullptr);
  Page(nowhere, c, runs, a, account).print();
  return account;
}

void print_short(std::ostream& out, const Case& c, const Answers& a, const answers::Risks* risks) {
  const answers::Decision d = answers::decide(a, risks);
  std::string text =
      (a.title.empty() ? "" : a.title + ": ") + answers::go_word(d.go) + ". " + in_short(c, a, risks);
  for (const answers::NamedVerdict& v : answers::all_verdicts(a, risks)) {
    const Judgement& j = *v.judgement;
    if ((j.verdict == Verdict::fail || j.verdict == Verdict::marginal) && !j.reason.empty())
      text += " " + upper_case(answers::verdict_name(j.verdict)) + ": " + j.reason.text() + ".";
  }
  text = clean_utf8(text);
  std::replace(text.begin(), text.end(), '\n', ' ');
  out << text << '\n';
}

void print_heading(std::ostream& out, const Case& c, const Answers& a, bool stages_too) {
  for (const std::string& text : folded(clean_utf8(a.title), page_width))
    out << text << '\n';
  std::string stages;
  for (std::size_t part = 0; part < treatment::part_count; ++part)
    if (c.has(static_cast<Part>(part)))
      stages += (stages.empty() ? "" : ", ") + std::string(treatment::part_name(static_cast<Part>(part)));
  const std::string steel = c.steel.designation.starts_with(c.steel.key)
                                ? c.steel.designation
                                : c.steel.key + " " + c.steel.designation;
  for (const std::string& text :
       folded(clean_utf8(steel + (stages_too ? "; stages: " + stages : "")), page_width))
    out << text << '\n';
}

void print_as_stated(std::ostream& out, const Case& c, const Answers& a) {
  const std::string words = verdicts_in_short(c, a, nullptr) + "; the draws follow.";
  out << '\n';
  std::string label = "AS STATED";
  for (const std::string& text : folded(clean_utf8(words), page_width - label_width)) {
    out << padded(label, label_width) << text << '\n';
    label.clear();
  }
}

} // namespace tq::output
