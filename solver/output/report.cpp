#include "output/report.hpp"

#include "answers/decision.hpp"
#include "answers/ledger.hpp"
#include "output/band_words.hpp"
#include "output/drawings.hpp"
#include "output/field_movie.hpp"
#include "output/figures.hpp"
#include "output/html.hpp"
#include "output/judged.hpp"
#include "output/key_figures.hpp"
#include "output/learnt_words.hpp"
#include "output/pieces.hpp"
#include "output/risk_words.hpp"
#include "output/terminal.hpp"
#include "output/text.hpp"
#include "page_assets.hpp"

#include <algorithm>
#include <cmath>

namespace tq::output {
namespace {

using answers::Answers;
using answers::Verdict;
using treatment::Case;
using treatment::Part;
using treatment::Run;

const char* verdict_sign(Verdict verdict) {
  return verdict == Verdict::pass ? "\u2713" : verdict == Verdict::marginal ? "!" : "\u2715";
}

/// `tag`: strong for what no draws decide.
std::string verdict_line(const char* name, const answers::Judgement& j, const std::string& reason,
                         const std::string& tag = "b") {
  if (j.verdict == Verdict::not_asked)
    return "";
  const std::string word = upper_case(answers::verdict_name(j.verdict));
  return std::string("<p class=\"verdict\"><span>") + name + "</span> <" + tag + " class=\"" +
         verdict_key(j.verdict) + "\">" + verdict_sign(j.verdict) + " " + word + "</" + tag +
         "></p>\n<p class=\"small\">" + with_units(reason) + "</p>\n";
}

std::string verdict_line(const Named& named) {
  return verdict_line(named.name, *named.judgement, named.judgement->reason.text());
}

bool passes_or_not_asked(const Named& named) {
  return named.judgement->verdict == Verdict::pass || named.judgement->verdict == Verdict::not_asked;
}

std::string figure(const Drawing& drawing, const std::string& id, const std::string& caption) {
  return "<figure>\n<h3>" + xml_escaped(drawing.title) + "</h3>\n" + element_of(drawing, id) +
         (caption.empty() ? "" : "<figcaption>" + with_units(caption) + "</figcaption>\n") + "</figure>\n";
}

class Report {
 public:
  Report(const Case& c, const std::vector<Run>& runs, const Answers& a, const Origin& origin,
         const Extras& extras)
      : case_(c), runs_(runs), answers_(a), origin_(origin), extras_(extras),
        account_(account_of(c, runs, a)) {}

  std::string html() {
    const std::string title = answers_.title.empty() ? "Heat treatment" : answers_.title;
    out_ = page_head(title, report_css, report_js);
    heading(title);
    out_ += runs_.size() > 1 ? "<main class=\"several\">\n" : "<main>\n";
    decision();
    strip();
    const std::size_t contents_at = out_.size();
    settings();
    for (std::size_t k = 0; k < runs_.size(); ++k)
      station(k);
    risks();
    what_if();
    uncertainty();
    learnt();
    rest();
    out_.insert(contents_at, "<nav aria-label=\"Contents\">\n" + contents_ + "</nav>\n");
    out_ += "</main>\n" + page_foot(report_js);
    return std::move(out_);
  }

 private:
  void heading(const std::string& title) {
    out_ += "<header>\n<h1>" + xml_escaped(title) + "</h1>\n<p class=\"quiet\">" +
            xml_escaped(case_.steel.designation) + ". Computed by " + xml_escaped(origin_.program) + " " +
            xml_escaped(origin_.version) +
            (origin_.created.empty() ? "" : " on " + xml_escaped(origin_.created)) + " from " +
            xml_escaped(origin_.case_file) + ".</p>\n";
    out_ += "<div class=\"bar\" hidden=\"hidden\">\n";
    buttons("temperature", {{"C", "\u00b0C"}, {"F", "\u00b0F"}, {"", "both"}});
    buttons("length", {{"mm", "mm"}, {"in", "in"}, {"", "both"}});
    out_ += "</div>\n</header>\n";
  }

  void buttons(const char* kind, const std::vector<std::pair<const char*, const char*>>& choices) {
    out_ += std::string("<fieldset><legend>") + kind + "</legend>";
    for (const auto& [value, name] : choices)
      out_ += formatted(
          "<button type=\"button\" data-kind=\"%s\" data-value=\"%s\" aria-pressed=\"%s\">%s</button>", kind,
          value, *value == '\0' ? "true" : "false", name);
    out_ += "</fieldset>\n";
  }

  /// A heading that the contents lead to.
  void part(const std::string& title) {
    const std::string id = formatted("part-%d", ++parts_);
    out_ += "<h2 id=\"" + id + "\">" + title + "</h2>\n";
    contents_ += "<a href=\"#" + id + "\">" + title + "</a>\n";
  }

  /// Go or not, why, what to change.
  void decision() {
    const answers::Decision d = answers::decide(answers_, extras_.risks);
    const Verdict verdict = d.go == answers::Go::do_not      ? Verdict::fail
                            : d.go == answers::Go::with_care ? Verdict::marginal
                            : d.go == answers::Go::go        ? Verdict::pass
                                                             : Verdict::not_asked;
    out_ += std::string("<section class=\"decision\">\n<p class=\"verdict\"><em class=\"") +
            verdict_key(verdict) + "\">" +
            (verdict == Verdict::not_asked ? "" : verdict_sign(verdict) + std::string(" ")) +
            answers::go_word(d.go) + "</em> <span>" + with_units(d.because) + "</span></p>\n";
    if (!d.changes.empty()) {
      out_ += "<p>Change:</p>\n<ul>\n";
      for (const std::string& change : d.changes)
        out_ += "<li>" + with_units(change) + "</li>\n";
      out_ += "</ul>\n";
    }
    for (const answers::Caution& caution : answers_.cautions)
      if (caution.beside == "all")
        out_ += "<p class=\"small\">" + with_units(caution.text) + "</p>\n";
    out_ += "</section>\n";
  }

  void strip() {
    out_ += "<div class=\"strip\">\n<section>\n<h2>Set</h2>\n<dl>\n";
    for (const KeyFigure& figure : key_settings(case_, answers_))
      out_ += "<dt>" + xml_escaped(figure.name) + "</dt><dd>" + with_units(figure.value) + "</dd>\n";
    out_ += "</dl>\n</section>\n<section>\n<h2>Does it harden?</h2>\n";
    const std::vector<Named> verdicts = named_verdicts(answers_);
    bool any = false;
    for (const Named& named : verdicts)
      if (named.judgement != &answers_.hardness) {
        const std::string line = verdict_line(named);
        any = any || !line.empty();
        out_ += line;
      }
    out_ += any ? "<p class=\"small\">" + judged_in_shop(case_, answers_.draws) + "</p>\n"
                : "<p>Not asked: temperatures only.</p>\n";
    out_ += std::string("</section>\n<section>\n<h2>How hard") +
            (extras_.risks != nullptr ? ", how straight" : "") + "?</h2>\n";
    const std::string hardness = key_hardness(case_, answers_);
    out_ += hardness.empty() ? "<p>No hardness follows from these stages.</p>\n"
                             : "<p class=\"big\">" + with_units(hardness) + "</p>\n";
    for (const Named& named : verdicts)
      if (named.judgement == &answers_.hardness)
        out_ += verdict_line(named);
    for (const NamedRisk& risk : named_risks(extras_.risks))
      out_ += verdict_line(risk.name, *risk.judgement, risk.brief, "strong");
    out_ += "</section>\n<section>\n<h2>What to fear</h2>\n";
    const std::vector<std::string> fears = key_fears(case_, answers_);
    if (fears.empty())
      out_ += std::all_of(verdicts.begin(), verdicts.end(), passes_or_not_asked)
                  ? "<p>No warning, and no margin is thin.</p>\n"
                  : "<p>Nothing besides the verdicts that do not pass.</p>\n";
    else {
      out_ += "<ul>\n";
      for (const std::string& fear : fears)
        out_ += "<li>" + with_units(fear) + "</li>\n";
      out_ += "</ul>\n";
    }
    out_ += "</section>\n</div>\n";
  }

  void entries(const std::vector<Entry>& list, const char* style = "entries") {
    out_ += entries_html(list, style);
  }

  void settings() {
    part("What to set, in the order of the work");
    entries(account_.settings);
  }

  void station(std::size_t k) {
    const Run& run = runs_[k];
    const answers::StationAnswer& answer = answers_.stations[k];
    const std::string id = formatted("s%zu", k + 1);
    part("Section: " + xml_escaped(run.station));
    if (k < account_.tables.size())
      out_ += zone_table_html(account_.tables[k], run.station);
    drawings(run, answer, id);
    if (k < account_.tables.size() && !account_.tables[k].notes.empty()) {
      out_ += "<h3>For the hand that grinds, files and looks</h3>\n";
      entries(account_.tables[k].notes);
    }
  }

  void drawings(const Run& run, const answers::StationAnswer& answer, const std::string& id) {
    if (const std::string alike = alike_everywhere(case_, run, answer); !alike.empty())
      out_ += "<p>" + with_units(alike) + "</p>\n";
    out_ += "<div class=\"drawings\">\n";
    for (const Captioned& one : section_drawings(case_, run, answer))
      out_ += figure(one.drawing, id + "-" + one.key, one.caption);
    out_ += field_movie(case_, run, id + "-moment");
    for (const Captioned& one : curve_drawings(case_, run, answer))
      out_ += figure(one.drawing, id + "-" + one.key, one.caption);
    out_ += "</div>\n";
  }

  void risks() {
    if (extras_.risks == nullptr)
      return;
    part("Bow and cracks");
    entries(risk_entries(case_, *extras_.risks));
    std::string drawn;
    for (std::size_t k = 0; k < extras_.risks->stations.size(); ++k) {
      const answers::BowAnswer& bow = extras_.risks->stations[k];
      if (const auto drawing = draw_bow(case_, bow))
        drawn += figure(
            *drawing, formatted("s%zu-bow", k + 1),
            extras_.risks->stations.size() > 1 ? "As if all of the blade were like " + bow.name + "." : "");
    }
    if (!drawn.empty())
      out_ += "<div class=\"drawings\">\n" + drawn + "</div>\n";
  }

  void what_if() {
    if (extras_.what_if == nullptr)
      return;
    const WhatIfDrawings drawn = draw_what_ifs(case_, *extras_.what_if);
    std::string strips;
    for (const auto& [key, drawing] : drawn.changing)
      strips += figure(drawing, "what-if-" + key, "");
    if (strips.empty() && drawn.same.empty())
      return;
    part("What if it is not as set?");
    out_ += "<p>One thing changed, all else as the case says, the timer "
            "too; judged as stated. "
            "Bars: least to most HRC over the zones; above them the worst verdict: \u2713 pass, ! marginal, "
            "\u2715 fail, \u2014 cannot be set up.</p>\n" +
            (strips.empty() ? "" : "<div class=\"drawings narrow\">\n" + strips + "</div>\n") +
            (drawn.same.empty() ? "" : "<p>" + with_units(drawn.same) + "</p>\n");
  }

  void uncertainty() {
    if (extras_.bands == nullptr)
      return;
    const answers::Bands& bands = *extras_.bands;
    const BandWords words = band_words(case_, bands);
    part("How sure, and what makes it unsure");
    out_ += "<p>" + with_units(words.heading) + "</p>\n";
    for (const std::string& note : words.notes)
      out_ += "<p>" + with_units(note) + "</p>\n";
    entries(words.verdicts, "entries wide");
    for (std::size_t k = 0; k < words.stations.size(); ++k) {
      if (words.stations.size() > 1)
        out_ += "<h3>" + xml_escaped(words.stations[k].name) + "</h3>\n";
      entries(words.stations[k].figures, "entries wide");
      shares(bands, bands.stations[k], formatted("s%zu", k + 1));
    }
  }

  void rows(const char* what, const std::vector<LearntWords::Row>& all) {
    if (all.empty())
      return;
    out_ += std::string("<table class=\"pairs\">\n<thead><tr><th scope=\"col\">") + what +
            "</th><th scope=\"col\">before</th><th scope=\"col\">now</th></tr></thead>\n<tbody>\n";
    for (const LearntWords::Row& row : all)
      out_ += "<tr><th scope=\"row\">" + xml_escaped(row.name) + "</th><td>" + with_units(row.before) +
              "</td><td>" + with_units(row.after) + "</td></tr>\n";
    out_ += "</tbody>\n</table>\n";
  }

  /// Band before, band after, and the logs beside the computed curves.
  void learnt() {
    LearntWords words;
    if (extras_.unlearnt != nullptr && extras_.bands != nullptr)
      words = learnt_words(case_, *extras_.unlearnt, *extras_.bands);
    const bool logs = extras_.logs != nullptr && !extras_.logs->empty();
    if (words.heading.empty() && !logs)
      return;
    out_ += "<h2>What the shop's journal taught</h2>\n";
    if (!words.heading.empty())
      out_ += "<p>" + xml_escaped(words.heading) + "</p>\n";
    rows("answer, nine in ten lie between", words.figures);
    rows("input, against what the case states", words.inputs);
    if (!logs)
      return;
    out_ += "<div class=\"drawings\">\n";
    for (std::size_t k = 0; k < extras_.logs->size(); ++k) {
      const answers::LogBeside& log = (*extras_.logs)[k];
      out_ +=
          figure(draw_log(log), formatted("log-%zu", k + 1),
                 "Points: the log. Band: nine draws in ten, line: their middle, as the shop is known now. " +
                     percent_text(log.inside) + " of the readings lie in the band.");
    }
    out_ += "</div>\n";
  }

  void shares(const answers::Bands& bands, const answers::StationBands& station, const std::string& id) {
    std::string drawings;
    for (const answers::Band& band : station.figures)
      if (band.key == "timer_from_door" || band.key == "hardness_tempered_least" ||
          band.key == "hardness_as_quenched_least")
        if (const auto drawing = draw_shares(bands, band,
                                             std::string("What makes uncertain: ") +
                                                 answers::figure_of_station(band.key).meaning.long_name))
          drawings += figure(*drawing, id + "-" + band.key, "Share of each input in the variance.");
    if (!drawings.empty())
      out_ += "<div class=\"drawings narrow\">\n" + drawings + "</div>\n";
  }

  void list(const char* heading, const std::vector<std::string>& texts) {
    if (texts.empty())
      return;
    part(heading);
    out_ += "<ul>\n";
    for (const std::string& text : texts)
      out_ += "<li>" + with_units(text) + "</li>\n";
    out_ += "</ul>\n";
  }

  void rest() {
    list("Warnings", account_.warnings);
    list("Cautions", account_.cautions);
    list("Assumed and left out", account_.assumptions);
    if (origin_.records.empty())
      return;
    part("Sources used");
    out_ += "<details>\n<summary>Every value of the records with where it comes from; open it to print it "
            "too</summary>\n"
            "<div class=\"scroll\" tabindex=\"0\" role=\"region\" "
            "aria-label=\"Sources\">\n"
            "<table class=\"words\">\n<thead><tr><th scope=\"col\">record</th><th scope=\"col\">value</th>"
            "<th scope=\"col\">source</th><th scope=\"col\">range, uncertainty</th></tr></thead>\n<tbody>\n";
    // Values of one record from one source share a row.
    for (std::size_t k = 0; k < origin_.records.size();) {
      const RecordEntry& first = origin_.records[k];
      const auto doubt = [](const records::Provenance& p) {
        return p.range + (p.range.empty() || p.uncertainty.empty() ? "" : "; ") + p.uncertainty;
      };
      std::string values;
      for (; k < origin_.records.size() && origin_.records[k].record == first.record &&
             origin_.records[k].entry.source == first.entry.source &&
             doubt(origin_.records[k].entry) == doubt(first.entry);
           ++k)
        values += (values.empty() ? "" : "; ") + origin_.records[k].entry.key + " " +
                  shortened(origin_.records[k].entry.value);
      out_ += "<tr><th scope=\"row\">" + xml_escaped(first.record) + "</th><td>" + xml_escaped(values) +
              "</td><td>" + xml_escaped(first.entry.source) + "</td><td>" + xml_escaped(doubt(first.entry)) +
              "</td></tr>\n";
    }
    out_ += "</tbody>\n</table>\n</div>\n</details>\n";
  }

  static std::string shortened(const std::string& value) {
    constexpr std::size_t most = 60; // a table of the record: its length is told, not its rows
    if (columns(value) <= most)
      return value;
    return folded(value, most).front() + " \u2026";
  }

  const Case& case_;
  const std::vector<Run>& runs_;
  const Answers& answers_;
  const Origin& origin_;
  const Extras& extras_;
  const Account account_;
  std::string out_, contents_;
  int parts_ = 0;
};

} // namespace

std::string report_html(const Case& c, const std::vector<Run>& runs, const Answers& a, const Origin& origin,
                        const Extras& extras) {
  return Report(c, runs, a, origin, extras).html();
}

} // namespace tq::output
