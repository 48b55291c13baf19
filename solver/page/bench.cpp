#include "page/bench.hpp"

#include "answers/bands.hpp"
#include "answers/careful_find.hpp"
#include "answers/careful_timer.hpp"
#include "answers/cautions.hpp"
#include "answers/coarse_case.hpp"
#include "answers/executor.hpp"
#include "answers/explain.hpp"
#include "answers/find.hpp"
#include "answers/risks.hpp"
#include "output/explanation.hpp"
#include "output/html.hpp"
#include "output/json.hpp"
#include "output/report.hpp"
#include "output/sheet.hpp"
#include "page/account.hpp"
#include "page/edit.hpp"
#include "page/form.hpp"
#include "page/journal.hpp"
#include "page/typed.hpp"
#include "records/read_faults.hpp"
#include "treatment/case_reader.hpp"
#include "units/quantity.hpp"

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <nlohmann/json.hpp>
#include <optional>

namespace tq::page {
namespace {

using Json = nlohmann::ordered_json;
using records::InputError;

constexpr const char* file = "case";

Json problems_json(const std::string& messages) {
  Json out = Json::array();
  const bool of_journal = messages.compare(0, std::string_view(journal_file).size(), journal_file) == 0;
  for (const Problem& problem : problems_of(messages, of_journal ? journal_file : file))
    out.push_back({{"line", problem.line}, {"path", problem.path}, {"message", problem.message}});
  return out;
}

bool readable(const std::string& text) {
  try {
    (void)records::parse_document(text, file);
    return true;
  } catch (const InputError&) {
    return false;
  }
}

/// Sets fields in the text; what cannot be set is told.
std::string with_edits(std::string text, const Json& edits, bool imperial, Json& refused) {
  for (const auto& [path, typed] : edits.items()) {
    if (path.starts_with("blade.station[") && path.ends_with("]") && typed == "")
      text = without_table(text, path);
    const Field* field = path.starts_with("step[") ? field_of_step(path) : field_of(path);
    if (field == nullptr || !typed.is_string())
      continue;
    Typing typing = field->typing;
    if (typing.kind == Kind::quantity && imperial)
      typing.usual_unit = unit_of(typing.usual_unit, typing.dimension, true);
    const std::string value = typed.get<std::string>();
    const bool empty = value.find_first_not_of(" \t") == std::string::npos;
    try {
      std::string changed = edited(text, path, empty ? "" : toml_value(value, typing));
      if (!readable(changed) && readable(text))
        throw InputError(std::string(file) + ": " + path +
                         ": does not fit into the text of the case; change it there");
      text = std::move(changed);
    } catch (const InputError& error) {
      for (const Json& each : problems_json(error.what()))
        refused.push_back(each);
    }
  }
  return text;
}

/// A number that JSON may not know: as text, to its last digit.
std::string exact(double value) {
  char digits[40];
  std::snprintf(digits, sizeof digits, "%.17g", value);
  return digits;
}

std::size_t zone_named(const std::string& name) {
  for (std::size_t z = 0; z < treatment::zone_count; ++z)
    if (name == treatment::zone_name(static_cast<treatment::Zone>(z)))
      return z;
  throw InputError(std::string(file) + ": there is no place called '" + name + "'");
}

/// What was read of a blade of one station, as typed into the page; empty fields were not read.
answers::Reading reading_of(const Json& asked) {
  answers::Reading reading;
  reading.ground = asked.value("ground", false);
  for (const Json& each : asked.value("hardness", Json::array())) {
    const std::string typed = text_of(each, "hrc");
    if (typed.find_first_not_of(' ') == std::string::npos)
      continue;
    try {
      const double hrc = units::parse_quantity(
          field_text(toml_value(typed, {Kind::quantity, "hardness_HRC", "HRC", {}})), "hardness_HRC");
      if (!(hrc >= 0 && hrc <= 70))
        throw InputError(std::string(file) + ": " + typed + ": a reading is from 0 HRC to 70 HRC");
      reading.hardness.push_back({zone_named(text_of(each, "zone")), hrc, each.value("tempered", false)});
    } catch (const units::QuantityError& error) {
      throw InputError(std::string(file) + ": " + typed + ": " + error.what());
    }
  }
  for (const Json& each : asked.value("files", Json::array()))
    for (const auto feel : {steel::FileFeel::skates, steel::FileFeel::just_skates, steel::FileFeel::bites})
      if (text_of(each, "feel") == steel::file_feel_name(feel))
        reading.files.push_back({zone_named(text_of(each, "zone")), feel, reading.ground});
  if (reading.hardness.empty() && reading.files.empty())
    throw InputError(std::string(file) +
                     ": nothing was read yet: what the file does is enough to begin with");
  return reading;
}

double number(const Json& exact) { return std::strtod(exact.get<std::string>().c_str(), nullptr); }

Json numbers_json(const std::vector<double>& values) {
  Json out = Json::array();
  for (const double v : values)
    out.push_back(exact(v));
  return out;
}

/// Both flanks of the section, from spine to edge [m].
Json outline_json(const section::Profile& profile) {
  constexpr int pieces = 48;
  Json out = {{"x", Json::array()}, {"top", Json::array()}, {"bottom", Json::array()}};
  for (int k = 0; k <= pieces; ++k) {
    const double x = profile.width() * k / pieces;
    out["x"].push_back(x);
    out["top"].push_back(profile.top_at(x));
    out["bottom"].push_back(profile.bottom_at(x));
  }
  return out;
}

} // namespace

struct Bench::State {
  std::function<void(const std::string&)> meanwhile;
  Shelf shelf;
  JournalOfPage journal;

  struct Computed {
    treatment::Case contents;
    std::vector<treatment::Run> runs;
    answers::Answers stated, judged;
    std::optional<answers::Bands> bands;
    std::optional<answers::Risks> risks;
    std::optional<double> share; ///< see share_of()

    Account account() const {
      return {contents, runs, judged, bands ? &*bands : nullptr, risks ? &*risks : nullptr};
    }
    output::Extras extras() const { return {bands ? &*bands : nullptr, nullptr, risks ? &*risks : nullptr}; }
  };
  std::optional<Computed> last;
  std::optional<answers::Draws> draws;

  treatment::Case read(const std::string& text) const { return journal.read(text, file, shelf); }

  Json lay_journal(const Json& asked) {
    journal.lay(text_of(asked, "journal"), text_of(asked, "learnt"), text_of(asked, "bar"));
    return journal.told(shelf);
  }

  Json live(const Json& asked) {
    Json refused = Json::array();
    const std::string text = with_edits(text_of(asked, "text"), asked.value("edits", Json::object()),
                                        asked.value("imperial", false), refused);
    Json out = {{"text", text}, {"values", values_json(text)}, {"refused", refused}};
    try {
      const treatment::Case c = read(text);
      out["echoes"] = echoes_json(c.resolved_text);
      out["assumed"] = Json::array();
      for (const std::string& line : c.defaults)
        out["assumed"].push_back(output::with_units(line));
      std::optional<double> share = only_sizes(asked) ? share_of(asked) : std::nullopt;
      out["first"] = first_json(at_once(c, share).account());
      if (share)
        out["share"] = exact(*share);
      out["outline"] = outline_json(c.blade.stations.front().profile);
    } catch (const InputError& error) {
      out["problems"] = problems_json(error.what());
    } catch (const treatment::SolverError& error) {
      out["failed"] = error.what();
    }
    return out;
  }

  /// What a blade like this one takes longer at its cautious end (answers::CarefulTimer), as it was told
  /// before.
  static std::optional<double> share_of(const Json& asked) {
    const auto at = asked.find("share");
    if (at == asked.end() || !at->is_string())
      return {};
    const double share = number(*at);
    return share >= 0 && share < 10 ? std::optional(share) : std::nullopt;
  }
  /// Whether nothing was changed but sizes of a section, as in dragging it.
  static bool only_sizes(const Json& asked) {
    const Json edits = asked.value("edits", Json::object());
    bool any = false;
    for (const auto& [path, typed] : edits.items()) {
      any = true;
      if (!path.starts_with("blade.station[") ||
          !(path.ends_with("].spine") || path.ends_with("].edge") || path.ends_with("].width")))
        return false;
    }
    return any;
  }
  static bool leaves_the_timer(const treatment::Case& c) { return c.heated() && !c.furnace().timer_s; }

  /// The case on the coarse grid, as far as it is known before the runs behind the margins. Where it leaves
  /// the timer open, that is guessed by `share`, or found, and then `share` with it.
  static Computed at_once(const treatment::Case& c, std::optional<double>& share) {
    Computed coarse;
    coarse.contents = answers::coarse_case(c);
    answers::CarefulTimer timer;
    if (leaves_the_timer(c)) {
      timer =
          share ? answers::guessed_timer(coarse.contents, *share) : answers::careful_timer(coarse.contents);
      if (std::isfinite(timer.share))
        share = timer.share;
    }
    bool told = false;
    try {
      (void)answers::answer_with(
          timer, coarse.contents, coarse.runs, [&](double, treatment::Part) { return !told; }, nullptr,
          [&](const answers::Answers& stated) {
            coarse.judged = stated;
            told = true;
          });
    } catch (const treatment::Interrupted&) { // that is enough
    }
    coarse.judged.cautions = answers::cautions_for(c);
    return coarse;
  }

  /// The full answer. With a `share` the verdicts are told by a guessed timer, which is found meanwhile; when
  /// it is another one, all is done again with that.
  void answer_finely(Computed& made, std::optional<double> share) const {
    const auto tell = [&](const answers::Answers& verdicts) {
      if (!meanwhile)
        return;
      Computed known;
      known.contents = made.contents;
      known.judged = verdicts;
      known.judged.cautions = answers::cautions_for(made.contents);
      meanwhile(output::json_line(first_json(known.account())));
    };
    if (!leaves_the_timer(made.contents)) {
      made.stated = answers::answer(made.contents, made.runs, {}, nullptr, tell);
      return;
    }
    answers::CarefulTimer guess;
    if (share) {
      guess = answers::guessed_timer(made.contents, *share);
      made.stated = answers::answer_with(guess, made.contents, made.runs, {}, nullptr, tell);
    }
    const answers::CarefulTimer timer = answers::careful_timer(made.contents);
    if (std::isfinite(timer.share))
      made.share = timer.share;
    if (!share || timer.careful_s != guess.careful_s || timer.middle_s != guess.middle_s)
      made.stated = answers::answer_with(timer, made.contents, made.runs, {}, nullptr, tell);
  }

  Json fine(const Json& asked) {
    last.reset();
    Json refused = Json::array();
    const std::string text = with_edits(text_of(asked, "text"), asked.value("edits", Json::object()),
                                        asked.value("imperial", false), refused);
    if (!refused.empty())
      return {{"problems", refused}};
    Computed made;
    made.contents = read(text);
    answer_finely(made, share_of(asked));
    made.judged = made.stated;
    made.risks = answers::risks(made.contents, made.stated);
    last = std::move(made);
    const answers::Draws::Stated stated = answers::Draws::Stated::of(last->stated);
    Json out = told();
    out["text"] = text;
    out["stations"] = drawings_json(last->account());
    out["moments"] = Json::array();
    for (const treatment::Run& run : last->runs)
      out["moments"].push_back(moments_json(run));
    if (last->share)
      out["share"] = exact(*last->share);
    out["timer"] = exact(stated.timer_used_s);
    out["spare"] = numbers_json(stated.spare_s);
    return out;
  }

  Json told() const {
    return {{"first", first_json(last->account())}, {"words", words_json(last->account())}};
  }

  static answers::BandSettings settings(const Json& asked) {
    const int members = asked.value("members", 128);
    return {std::min(std::max(members, answers::fewest_members), 4096), 1, false};
  }

  Json make_draws(const Json& asked) {
    answers::Draws::Stated stated;
    stated.timer_used_s = number(asked.at("timer"));
    for (const Json& each : asked.at("spare"))
      stated.spare_s.push_back(number(each));
    draws.emplace(read(text_of(asked, "text")), stated, settings(asked));
    return {{"pieces", draws->pieces()}};
  }

  Json piece(const Json& asked) const {
    if (!draws)
      throw InputError("piece: no draws were made ready");
    const auto i = asked.at("number").get<std::size_t>();
    if (i >= draws->pieces())
      throw InputError("piece: there is no member of that number");
    std::string out;
    try {
      for (const double v : draws->piece(i))
        out += exact(v) + " ";
    } catch (const treatment::SolverError& error) {
      return {{"numbers", ""}, {"failure", error.what()}};
    }
    return {{"numbers", out}};
  }

  Json reduce(const Json& asked) {
    (void)kept();
    const answers::Draws all(last->contents, answers::Draws::Stated::of(last->stated), settings(asked));
    std::vector<std::vector<double>> pieces;
    for (const Json& each : asked.at("pieces")) {
      std::vector<double>& numbers = pieces.emplace_back();
      const std::string text = each.get<std::string>();
      const char* at = text.c_str();
      for (char* end = nullptr;; at = end) {
        const double v = std::strtod(at, &end);
        if (end == at)
          break;
        numbers.push_back(v);
      }
    }
    if (pieces.size() != all.pieces() || pieces.back().size() != all.numbers(last->stated))
      throw InputError("reduce: pieces are missing");
    for (const std::vector<double>& numbers : pieces)
      if (!numbers.empty() && numbers.size() != pieces.back().size())
        throw InputError("reduce: a piece is of another case");
    last->bands = all.reduce(last->stated, std::move(pieces), text_of(asked, "failure"));
    last->judged = answers::judged_by(last->stated, *last->bands);
    return told();
  }

  Json moment(const Json& asked) const {
    const auto station = asked.value("station", std::size_t{0});
    const auto& runs = kept().runs;
    if (station >= runs.size())
      throw InputError("moment: there is no such station");
    return {{"svg", moment_svg(last->contents, runs[station], asked.value("number", std::size_t{0}))}};
  }

  Json find(const Json& asked) const {
    answers::FindOptions options;
    options.fahrenheit = asked.value("imperial", false);
    const std::string question = text_of(asked, "question"), wish = text_of(asked, "wish");
    for (const answers::Question& each : answers::questions())
      if (each.key == question && wish.find_first_not_of(' ') != std::string::npos) {
        Typing typing{
            Kind::quantity, each.wish_dimension, unit_of("", each.wish_dimension, options.fahrenheit), {}};
        const std::string value = field_text(toml_value(wish, typing));
        try {
          options.wish = units::parse_quantity(value, each.wish_dimension);
        } catch (const units::QuantityError& error) {
          throw InputError(std::string(file) + ": wish: " + error.what());
        }
      }
    const treatment::Case c = read(text_of(asked, "text"));
    answers::Finding found = answers::find(c, question, options);
    answers::SerialExecutor one_by_one;
    answers::hold_by_draws(found, c, options, one_by_one);
    return finding_page_json(found);
  }

  Json explain(const Json& asked) const {
    const answers::Reading reading = reading_of(asked);
    const treatment::Case c = read(text_of(asked, "text"));
    const auto faults = shelf.shipped(treatment::RecordKind::uncertainty, "typical_faults");
    answers::SerialExecutor one_by_one;
    answers::FaultSample sample = answers::draw_faults(
        c, reading.station, records::read_faults(faults->text, faults->file), one_by_one);
    const answers::Explanation found = answers::explain_closely(sample, reading, one_by_one);
    return output::parsed_json(output::explanation_json(c, sample, reading, found));
  }

  const Computed& kept() const {
    if (!last)
      throw InputError("nothing was computed yet");
    return *last;
  }

  Json document(std::string_view what) const {
    const Computed& c = kept();
    output::OutputInfo info;
    info.command_line = "the page";
    info.case_file = "the page";
    const output::Origin origin = output::describe_origin(c.contents, c.runs, c.judged, info);
    const auto make = what == "sheet" ? output::sheet_html : output::report_html;
    return {{"text", what == "json" ? output::answers_json(c.contents, c.runs, c.judged, origin, c.extras())
                                    : make(c.contents, c.runs, c.judged, origin, c.extras())}};
  }

  Json answer(std::string_view what, const Json& asked) {
    if (what == "live")
      return live(asked);
    if (what == "fine")
      return fine(asked);
    if (what == "draws")
      return make_draws(asked);
    if (what == "piece")
      return piece(asked);
    if (what == "reduce")
      return reduce(asked);
    if (what == "moment")
      return moment(asked);
    if (what == "find")
      return find(asked);
    if (what == "explain")
      return explain(asked);
    if (what == "what_if")
      return what_if_page_json(read(text_of(asked, "text")));
    if (what == "keep") {
      shelf.put(text_of(asked, "path"), text_of(asked, "text"));
      return Json::object();
    }
    if (what == "journal")
      return lay_journal(asked);
    if (what == "learn")
      return journal.learn(shelf, [&](const Json& known) {
        if (meanwhile)
          meanwhile(output::json_line(known));
      });
    if (what == "note")
      return {{"journal", with_entry(asked, shelf, asked.value("imperial", false))}};
    if (what == "sheet" || what == "report" || what == "json")
      return document(what);
    throw InputError("no such thing is done here");
  }
};

Bench::Bench(std::function<void(const std::string&)> meanwhile) : state_(std::make_unique<State>()) {
  state_->meanwhile = std::move(meanwhile);
}
Bench::~Bench() = default;

std::string Bench::ask(std::string_view what, std::string_view asked) {
  Json out;
  try {
    if (what == "form")
      return form_json(state_->shelf);
    const Json question = asked.empty() ? Json::object() : output::parsed_json(asked);
    if (question.is_discarded())
      throw std::invalid_argument("the question is no JSON");
    out = state_->answer(what, question);
  } catch (const InputError& error) {
    out = {{"problems", problems_json(error.what())}};
  } catch (const treatment::SolverError& error) {
    out = {{"failed", error.what()}};
  } catch (const std::bad_alloc&) {
    out = {{"failed", "not enough memory"}};
  } catch (const std::exception& error) {
    out = {{"failed", std::string("internal error: ") + error.what()}};
  }
  return output::json_line(out);
}

} // namespace tq::page
