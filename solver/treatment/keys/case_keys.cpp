// The keys at the root of a case, and those of what is wanted of it: wishes, verdicts, doubts, output,
// solver.
#include "records/read_uncertainty.hpp"
#include "treatment/keys/key.hpp"
#include "treatment/read_records.hpp"
#include "treatment/run.hpp"
#include "units/quantity.hpp"

#include <algorithm>
#include <utility>

namespace tq::treatment::keys {
namespace {

using records::toml_string;

const std::vector<std::string> stage_words = {"furnace", "transfer", "bath", "cool", "temper"};

/// The member of the case, or the case itself, as a table.
Slot part(void* (*address)(ShortCase&)) {
  Slot slot;
  slot.holds = Slot::Holds::table;
  slot.address = [address](void* c) { return address(*static_cast<ShortCase*>(c)); };
  return slot;
}

template <class V>
Slot of_case(V Case::*member) {
  return in<ShortCase>(member);
}

std::string read_format(Scope& k) {
  const int format = k.node->integer("format", {1, 1000});
  if (format != 1)
    k.fail("format", std::to_string(format) + " is newer than this program; it reads format 1");
  return "1";
}

constexpr const char* beside_steps =
    "cannot stand beside [[step]], which lists all that happens to the blade";
constexpr Place short_form{nullptr, nullptr, [](const Scope& k) { return !k.given("step"); }, beside_steps};

std::string read_stages(Scope& k) {
  if (k.given("step")) {
    k.c.stages = {Part::furnace}; // what is read beside a list that is none looks at the first
    std::vector<Part> listed;
    for (const Node& node : k.node->tables("step"))
      listed.push_back(part_of_node(node));
    if (listed.empty())
      k.fail("step", "lists nothing; a case has a step at least");
    k.c.stages = std::move(listed);
    if (k.given("stages"))
      k.fail("stages", beside_steps);
    return "";
  }
  const bool tempered = k.given("temper");
  std::vector<Part>& stages = k.c.stages;
  stages = {Part::furnace, Part::transfer, Part::bath, Part::cool};
  if (tempered)
    stages.push_back(Part::temper);
  if (k.given("stages")) {
    std::vector<Part> asked;
    int last = -1;
    for (const std::string& word : k.node->texts("stages")) {
      const auto found = std::find(stage_words.begin(), stage_words.end(), word);
      if (found == stage_words.end()) {
        const std::string near = records::nearest(word, stage_words);
        k.fail("stages", toml_string(word) + " is no stage; " +
                             (near.empty() ? "" : "did you mean " + toml_string(near) + "? ") +
                             "allowed: " + list(stage_words));
      }
      const int index = static_cast<int>(found - stage_words.begin());
      if (index <= last)
        k.fail("stages", toml_string(word) + " stands too late or twice; the order is " + list(stage_words));
      last = index;
      asked.push_back(static_cast<Part>(index));
    }
    if (asked.empty())
      k.fail("stages", "names no stage; allowed: " + list(stage_words));
    if (asked.back() == Part::temper && !tempered)
      k.fail("stages", "temper is asked for, but there is no [temper] with its oven temperature");
    stages = std::move(asked);
  }
  std::string out;
  for (Part stage : stages)
    out += (out.empty() ? "[" : ", ") + toml_string(stage_words[static_cast<std::size_t>(stage)]);
  return out + "]";
}

std::string read_blade(Scope& k) {
  return k.read(blade_table(), k.node->table("blade"), &k.c.blade, "[blade]", "blade");
}

std::string read_hardness(Scope& k) {
  HardnessWish wish;
  std::string text = read_wish(k, wish);
  k.c.wishes.hrc_from = wish.from;
  k.c.wishes.hrc_to = wish.to;
  return text;
}

/// Which zones are to harden, which to stay soft.
std::string read_zones(Scope& k) {
  read_wanted_zones(k, k.c.wishes.zones);
  return zones_text(k.c.wishes.zones, Wanted::hard);
}

std::string read_doubts(Scope& k) {
  const auto record = k.all().records.shipped(RecordKind::uncertainty, "typical_uncertainty");
  if (!record)
    k.outer().fail("", "the shipped usual uncertainties (typical_uncertainty.toml) cannot be read");
  k.c.uncertainty.usual = read_once(k.all().records, *record, "",
                                    [&] { return records::read_uncertainty(record->text, record->file); });
  const auto node = k.node->optional_table("uncertainty");
  if (!node || node->keys().empty())
    return "";
  const Scope within(k.all(), &k, node, "uncertainty", nullptr);
  const auto& usual = k.c.uncertainty.usual.inputs;
  std::string text = "\n[uncertainty]\n";
  for (const std::string& key : node->keys())
    within.try_to(key, [&] {
      const auto input =
          std::find_if(usual.begin(), usual.end(), [&](const auto& i) { return i.key == key; });
      if (input == usual.end()) {
        std::vector<std::string> known;
        for (const auto& i : usual)
          known.push_back(i.key);
        const std::string near = records::nearest(key, known);
        node->fail(key, "is no uncertain input; " +
                            (near.empty() ? "allowed: " + list(known) : "did you mean " + near + "?"));
      }
      Doubt doubt;
      doubt.input = key;
      const std::string word = node->is_text(key) ? node->text(key) : "";
      if (word == "measured")
        doubt.knowledge = records::Knowledge::measured;
      else if (word == "from memory")
        doubt.knowledge = records::Knowledge::from_memory;
      else if (word == "exact")
        doubt.width = input->spread == records::Spread::lognormal && input->dimension == "factor" ? 1.0 : 0.0;
      else if (word != "typical") {
        const bool letters_only = !word.empty() && std::none_of(word.begin(), word.end(), [](char ch) {
          return ch >= '0' && ch <= '9';
        });
        if (letters_only)
          node->fail(key, toml_string(word) + "; allowed: \"measured\", \"typical\", \"from memory\", "
                                              "\"exact\", or a width of its own");
        doubt.width = records::read_width(*node, key, *input);
        doubt.knowledge = records::Knowledge::measured;
      }
      k.c.uncertainty.stated.push_back(std::move(doubt));
      text += line(key, node->written(key));
    });
  return text;
}

void check_probe(const Scope& k) {
  const Probe& probe = k.is<Probe>();
  for (const Probe& other : k.c.probes)
    if (&other != &probe && other.name == probe.name)
      k.fail("name", toml_string(probe.name) + " names two probes; give each its own name");
  constexpr double slack = 1e-9;
  const auto& stations = k.c.blade.stations;
  if (std::none_of(stations.begin(), stations.end(), [&](const Station& s) {
        return probe.x_m <= s.profile.width() + slack && probe.y_m <= s.profile.top_at(probe.x_m) + slack &&
               probe.y_m >= s.profile.bottom_at(probe.x_m) - slack;
      }))
    k.fail("x", "the probe at " + brief(probe.x_m, "length") + ", " + brief(probe.y_m, "length") +
                    " lies outside the blade; x counts from the spine, y from the centre plane");
}

std::string assumed_soak(const Scope& k) {
  const double soak = k.is<Wishes>().soak_s;
  return soak > 0 ? "asked soak " + time_text(soak) + " at temperature, usual for " + k.c.steel.key : "";
}

/// `marginal` may not end below `pass`.
void in_order(const Scope& k, const char* marginal, double to, const char* pass, double from,
              const char* dimension) {
  if (to < from)
    k.fail(k.given(marginal) ? marginal : pass,
           "marginal ends at " + brief(to, dimension) + ", below the end of pass, " + brief(from, dimension));
}

} // namespace

const Table& wish_table() {
  using W = Wishes;
  static const Table table = [] {
    Table t;
    t.key("soak", &W::soak_s, as("time"), above(0, 100 * 3600.0), aside("20 min"), plausible(60, 4 * 3600.0),
          "time at temperature; default: the steel's usual one",
          rule([](const Scope& k) { return k.c.steel.austenitising.asked_soak_s; }),
          tells(heated, assumed_soak), written([](const Scope& k) { return k.is<W>().soak_s > 0; }));
    t.key("within", &W::within_K, as("temperature_difference"), from(0.1, 100), usual("6 K"),
          "\"at temperature\": within this of the set point");
    t.key("hardness", aside(R"(["60 HRC", "62 HRC"])"), "wanted after temper; default: none stated",
          own(read_hardness));
    t.key("harden", aside(R"(["edge", "middle"])"),
          "zones that must harden: edge, middle, spine, thickest; default: all", own(read_zones));
    t.key("soft", aside(R"(["spine"])"), "zones that are to stay soft; the rest may do either",
          own([](Scope& k) { return zones_text(k.c.wishes.zones, Wanted::soft); }));
    t.key("soft_spine", aside("true"), "a soft spine is welcome: only edge and middle must harden",
          own([](Scope&) { return std::string(); })); // harden says it in the resolved case
    t.rule("a timer, or a soak to set it by", "soak /furnace /blade.steel /stages", [](const Scope& k) {
      if (heated(k) && !k.c.furnace.timer_s && k.is<W>().soak_s <= 0)
        k.outer().fail(k.outer().given("furnace") ? "furnace" : "",
                       "timer missing; an inert steel has no usual soak, so write furnace.timer or "
                       "wish.soak");
    });
    t.assumed = [](const Scope& k) {
      return std::string(heated(k) && !k.c.furnace.timer_s
                             ? "timer set by the program so that every zone gets the asked soak"
                             : "");
    };
    return t;
  }();
  return table;
}

const Table& verdict_table() {
  using V = Thresholds;
  static constexpr Range share{0, 1};
  static const Table table = [] {
    Table t;
    t.remark = "where the verdicts change";
    t.key("transformed_pass", &V::transformed_pass, as("percent"), share, usual("2 %"),
          "pearlite and bainite up to here: pass");
    t.key("transformed_marginal", &V::transformed_marginal, as("percent"), share, usual("10 %"),
          "up to here: marginal, above: fail");
    t.key("austenite_least", &V::austenite_least, as("percent"), share, usual("99 %"),
          "share of austenite below which the soak fails");
    t.key("soft_least", &V::soft_least, as("percent"), share, usual("50 %"),
          "pearlite and bainite from here on: a zone wished soft passes");
    t.key("bow_pass", &V::bow_pass_m, as("length"), from(0, 1), usual("0.5 mm"),
          "bow of the blade out of the quench up to here: pass (common practice)");
    t.key("bow_marginal", &V::bow_marginal_m, as("length"), from(0, 1), usual("1.5 mm"),
          "up to here: marginal, above: fail (common practice)");
    t.key("flash_margin", &V::flash_margin_K, as("temperature_difference"), from(0, 200), usual("28 K"),
          "the bath should stay this far below its flash point (29 CFR 1910.126)");
    t.rule("marginal is worse than pass: bow", "bow_pass bow_marginal", [](const Scope& k) {
      const V& v = k.is<V>();
      in_order(k, "bow_marginal", v.bow_marginal_m, "bow_pass", v.bow_pass_m, "length");
    });
    t.rule("marginal is worse than pass: quench", "transformed_pass transformed_marginal",
           [](const Scope& k) {
             const V& v = k.is<V>();
             in_order(k, "transformed_marginal", v.transformed_marginal, "transformed_pass",
                      v.transformed_pass, "percent");
           });
    return t;
  }();
  return table;
}

const Table& uncertainty_table() {
  static const Table table = [] {
    Table t;
    t.head =
        R"(# How well you know the figures above; the bands of the answers come from it. Each is "measured", "typical"
# (the default), "from memory" (wide), "exact", or a width of its own: half of the band that holds nine times
# in ten, or a factor either way. materials/typical_uncertainty.toml has them all, with their widths.)";
    t.key("furnace_reading", aside(R"("6 K")"),
          "\"measured\" once it was checked against a melting point or a second probe");
    t.key("foil_gap", aside("3"), "a factor either way");
    t.key("oil_h", aside(R"("20 %")"), "of the heat transfer, when the oil's own test was read");
    t.key("oil_blanket", aside(R"("10 K")"), "the end of its vapour blanket");
    t.key("oil_temperature", aside(R"("5 K")"));
    t.key("transfer_time", aside(R"("0.5 s")"));
    t.key("steel_carbon", aside("0.05"), "wt%");
    t.key("temper_curve", aside(R"("1 HRC")"));
    t.key("oven_reading", aside(R"("measured")"));
    t.key("edge_thickness", aside(R"("0.05 mm")"));
    return t;
  }();
  return table;
}

const Table& probe_table() {
  static const Table table = [] {
    Table t;
    t.head = "# Points at which the temperature is written; any number.";
    t.key("name", &Probe::name, sample("thermocouple"), "needed");
    t.key("x", &Probe::x_m, as("length"), from(0, 1), sample("15 mm"), "from the spine");
    t.key("y", &Probe::y_m, as("length"), from(-0.1, 0.1), usual("0 mm"), "from the centre plane");
    t.rule("a probe is in the blade", "name x y /blade.station", check_probe);
    return t;
  }();
  return table;
}

const Table& output_table() {
  static const Table table = [] {
    Table t;
    t.key("times", may(of_case(&Case::output_times_s)), as("time"), from(0, 1000 * 3600.0),
          aside(R"(["60 s", "10 min"])"), "of the fields written; default: a set for each stage");
    t.rule("times ascend", "times", [](const Scope& k) {
      const auto& times = k.c.output_times_s;
      for (std::size_t i = 1; i < times.size(); ++i)
        if (times[i] <= times[i - 1])
          k.fail("times",
                 "must ascend: " + brief(times[i], "time") + " follows " + brief(times[i - 1], "time"));
    });
    t.whole = true;
    return t;
  }();
  return table;
}

namespace {

/// Whether it meets no liquid but oil of a record.
bool cooled_gently(const ShortCase& c) {
  const auto gently = [](const Bath& bath) {
    return !bath.plates && bath.fixed_htc_W_m2K <= 0 && bath.coolant.kind != records::CoolantKind::water;
  };
  const auto has = [&](Part part) {
    return std::find(c.stages.begin(), c.stages.end(), part) != c.stages.end();
  };
  return std::all_of(c.steps.begin(), c.steps.end(),
                     [&](const Step& step) {
                       const auto* bath = step.as<Bath>();
                       return !bath || gently(*bath);
                     }) &&
         (!has(Part::bath) || gently(c.bath)) && (!c.second_bath || gently(*c.second_bath));
}

} // namespace

const Table& solver_table() {
  using S = SolverSettings;
  static const Table table = [] {
    Table t;
    t.key("tolerance", &S::tolerance_K, as("temperature_difference"), from(1e-6, 20), usual("0.1 K"),
          "error per time step");
    t.key("along", &S::along, from(8, 2000), usual("110"), "grid intervals along the width");
    t.key(
        "across", &S::across, from(2, 400), aside("8"),
        "grid intervals through the thickness, even; default: 2, and one for each 0.4 mm, at least 8; where "
        "its only liquid is oil one for each 0.8 mm, at least 6",
        rule([](const Scope& k) {
          double thickest = 0;
          for (const Station& station : k.c.blade.stations)
            thickest = std::max(thickest, station.profile.thickness_at(station.profile.thickest_at()));
          return static_cast<double>(usual_across(thickest, cooled_gently(k.c)));
        }));
    t.key("max_step", &S::max_step_s, as("time"), from(0, 100 * 3600.0), usual("0 s"), "0 = free");
    t.key("symmetry", &S::use_symmetry, usual("true"), "compute one half when both flanks are alike");
    t.rule("an even grid", "across", [](const Scope& k) {
      if (k.is<S>().across % 2 != 0)
        k.fail("across", std::to_string(k.is<S>().across) + " is odd; write an even number of intervals");
    });
    return t;
  }();
  return table;
}

const Table& case_table() {
  static const Table table = [] {
    Table t;
    t.head =
        R"(# A case: one blade and everything that is done to it. Only [blade] with its steel, length and one
# station is needed. Every line shows its default unless it says otherwise; lines that start with #key are
# further keys. A value with a unit stands in quotes: "3.2 mm", "1/8 in", "1475 degF", "25 min", "2 gal".
# Decimals have a point. Times count from the closing of the furnace door.)";
    t.key("format", sample("1"), "of the case file", own(read_format));
    t.key("title", of_case(&Case::title), usual(""), "for people");
    t.key("stages", aside(R"(["furnace", "transfer", "bath", "cool", "temper"])"),
          "those to run, in this order", own(read_stages), block(R"(
# Stages to run, always in this order. Left out: all, temper only when there is a [temper]. A case may also
# run one stage alone from the temperature in [start].
#stages = ["furnace", "transfer", "bath", "cool", "temper"]
)"));
    t.key("blade", of_case(&Case::blade), below(blade_table), own(read_blade));
    t.key("start", of_case(&Case::start), below(start_table));
    t.key("furnace", &ShortCase::furnace, short_form, below(furnace_table));
    t.key("wrap", of_case(&Case::wrap), below(wrap_table));
    t.key("coat", of_case(&Case::coat), below(coat_table));
    t.key("surface", of_case(&Case::surface), below(surface_table));
    t.key("transfer", &ShortCase::transfer, short_form, below(transfer_table));
    t.key("bath", &ShortCase::bath, short_form, below(bath_table));
    t.key("second_bath", &ShortCase::second_bath, short_form, below(bath_table), block(R"(
# A second bath after the first, with the same keys: water then oil, oil then air, a first bath with out_at.
#[second_bath]
#coolant = "medium-oil"
#move = "1 s"                   # in the air from the first bath to this one
)"));
    t.key("cool", &ShortCase::cool, short_form, below(cool_table));
    t.key("temper", short_form, part([](ShortCase& c) -> void* { return static_cast<Oven*>(&c.temper); }),
          below(temper_table));
    t.key("step", below(step_table), own(read_steps), block(R"(
# In place of stages, [furnace], [transfer], [bath], [second_bath], [cool] and [temper] a case may list all
# that happens to the blade, in any order and number, as [[step]] with a kind (furnace, air, bath, plates,
# cold, oven) and the keys of that kind; cases/KEYS.md has them, cases/normalised_1095.toml is an example.
)"));
    t.key("wish", of_case(&Case::wishes), below(wish_table));
    t.key("verdict", of_case(&Case::thresholds), below(verdict_table));
    t.key("uncertainty", below(uncertainty_table), own(read_doubts));
    t.key("probe", of_case(&Case::probes), below(probe_table));
    t.key("output", part([](ShortCase& c) -> void* { return &c; }), below(output_table));
    t.key("solver", of_case(&Case::solver), below(solver_table));
    return t;
  }();
  return table;
}

} // namespace tq::treatment::keys
