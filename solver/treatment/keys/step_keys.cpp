// The list of steps in a case: one form for each kind that Step knows. A kind that says nothing else here is
// read by its table alone.
#include "treatment/keys/key.hpp"

#include <algorithm>
#include <utility>
#include <variant>

namespace tq::treatment::keys {
namespace {

using records::toml_string;

/// Reads the keys of a step into its settings: their text in the resolved case.
struct Reader {
  const Scope& k;
  const Node& node;
  const Table& keys;
  const std::string& kind;
  const std::string& number;

  template <class Settings>
  std::string operator()(Settings& settings) const {
    return k.read(keys, node, &settings, "[[step]]", "step[" + number + "]");
  }
};

/// How a case tells a kind of step. `read` fills the step and says how often it comes; step.foil is whether
/// the foil is on before it.
template <class Settings>
struct Form {
  static std::vector<std::string> words() { return {word(Settings{})}; }
  static Part part(const Node&) { return counts_as(Settings{}); }
  static constexpr bool short_form = false; ///< its keys are those of a table of the short form
  static std::string read(const Reader& reader, Step& step, int&) {
    Settings settings;
    std::string text = reader(settings);
    step.kind = settings;
    return text;
  }
};

template <>
struct Form<Furnace> {
  static std::vector<std::string> words() { return {"furnace"}; }
  static Part part(const Node&) { return Part::furnace; }
  static constexpr bool short_form = true;
  static std::string read(const Reader& reader, Step& step, int&) {
    ShortCase& c = reader.k.c;
    c.furnace = {};
    c.furnace.start_degC = c.start.temperature_degC;
    std::string text = reader(c.furnace);
    if (!c.furnace.timer_s && reader.k.all().problems.empty())
      c.furnace.timer_s = own_end_s(c.furnace);
    step.kind = c.furnace;
    step.coat = c.coat.has_value();
    return text;
  }
};

template <>
struct Form<Air> {
  static std::vector<std::string> words() { return {"air"}; }
  static Part part(const Node& node) { return node.has("until") ? Part::cool : Part::transfer; }
  static constexpr bool short_form = false;
  static std::string read(const Reader& reader, Step& step, int&) {
    ShortCase& c = reader.k.c;
    AirForm air;
    std::string text = reader(air);
    if (air.until_degC)
      air.until_degC = std::max(*air.until_degC, air.air_degC + all_but_cold_K);
    c.transfer.air_degC = air.air_degC;
    c.transfer.convection_W_m2K = air.convection_W_m2K;
    step.kind = static_cast<const Air&>(air);
    step.foil = step.foil && air.in_foil;
    step.coat = c.coat.has_value() && !air.until_degC;
    return text;
  }
};

template <>
struct Form<Bath> {
  static std::vector<std::string> words() { return {"bath", "plates"}; }
  static Part part(const Node&) { return Part::bath; }
  static constexpr bool short_form = true;
  static std::string read(const Reader& reader, Step& step, int&) {
    ShortCase& c = reader.k.c;
    if ((reader.kind == "plates") != reader.node.has("plates"))
      reader.node.fail("kind", reader.kind == "bath" ? "is plates when it has [step.plates]"
                                                     : "plates need their table [step.plates]");
    c.bath = {};
    std::string text = reader(c.bath);
    c.bath.air_degC = c.transfer.air_degC;
    c.bath.air_convection_W_m2K = c.transfer.convection_W_m2K;
    step.kind = c.bath;
    step.foil = step.foil && c.wrap.on_in_oil;
    step.coat = c.coat.has_value();
    return text;
  }
};

template <>
struct Form<Oven> {
  static std::vector<std::string> words() { return {"oven"}; }
  static Part part(const Node&) { return Part::temper; }
  static constexpr bool short_form = true;
  static std::string read(const Reader& reader, Step& step, int& count) {
    ShortCase& c = reader.k.c;
    c.temper = {};
    std::string text = reader(static_cast<Oven&>(c.temper));
    step.kind = static_cast<const Oven&>(c.temper);
    step.foil = false;
    count = c.temper.count;
    return text;
  }
};

/// A form without its type.
struct AnyForm {
  std::vector<std::string> words;
  Part (*part)(const Node&);
  std::string (*read)(const Reader&, Step&, int&);
  bool short_form;
  Table keys; ///< those of every step and of the kind
};

Table with_head(const Table& of) {
  Table t = of;
  for (Key& key : t.keys) // of an oven
    if (std::string_view(key.name) == "kind")
      key.name = "oven_kind";
  const auto& head = step_table().keys;
  t.keys.insert(t.keys.begin(), head.begin(), head.end());
  t.whole = false;
  return t;
}

template <class... Settings>
std::vector<AnyForm> forms_of(const std::variant<Settings...>*) {
  std::vector<AnyForm> all = {{Form<Settings>::words(), Form<Settings>::part, Form<Settings>::read,
                               Form<Settings>::short_form, with_head(key_table(Settings{}))}...};
  // Furnace stands first in Kind
  all.front().keys.rule("the foil stands the furnace", "/wrap /step", check_foil_service);
  return all;
}

template <class... Settings>
std::vector<std::string> words_of(const std::variant<Settings...>*) {
  std::vector<std::string> out;
  for (const auto& words : {Form<Settings>::words()...})
    out.insert(out.end(), words.begin(), words.end());
  return out;
}

const std::vector<AnyForm>& forms() {
  static const std::vector<AnyForm> all = forms_of(static_cast<const Kind*>(nullptr));
  return all;
}

const std::vector<std::string>& all_words() {
  static const std::vector<std::string> all = words_of(static_cast<const Kind*>(nullptr));
  return all;
}

/// Null when no kind is called so.
const AnyForm* form_of(const std::string& kind) {
  for (const AnyForm& form : forms())
    if (std::find(form.words.begin(), form.words.end(), kind) != form.words.end())
      return &form;
  return nullptr;
}

/// One step, behind those before it.
std::string read_step(const Scope& k, const Node& node, const std::string& number) {
  const std::string kind = node.choice("kind", all_words());
  const AnyForm& form = *form_of(kind);
  Step step;
  step.name = node.text("name", kind);
  step.foil = k.c.wrap.layers > 0; // on until it comes off
  step.number = std::stoi(number);
  int count = 1;
  const std::string text = form.read({k, node, form.keys, kind, number}, step, count);
  for (int n = 1; n <= count; ++n) {
    k.c.steps.push_back(step);
    if (count > 1)
      k.c.steps.back().name += " " + std::to_string(n);
  }
  return text;
}

} // namespace

Part part_of_node(const Node& node) {
  const std::string kind = node.is_text("kind") ? node.text("kind") : "";
  const AnyForm* form = form_of(kind);
  return form ? form->part(node) : Part::cool;
}

std::vector<std::pair<std::string, Table>> step_pages() {
  std::vector<std::pair<std::string, Table>> out;
  for (const AnyForm& form : forms())
    if (!form.short_form) {
      out.push_back({form.words.front(), form.keys});
      auto& keys = out.back().second.keys;
      keys.erase(keys.begin(), keys.begin() + static_cast<std::ptrdiff_t>(step_table().keys.size()));
    }
  return out;
}

std::string read_steps(Scope& k) {
  std::string text;
  const auto nodes = k.given("step") ? k.node->tables("step") : std::vector<Node>();
  for (std::size_t i = 0; i < nodes.size(); ++i) {
    const std::string number = std::to_string(i + 1);
    const Scope step(k.all(), &k, nodes[i], "step[" + number + "]", nullptr);
    const std::size_t told = k.told.size();
    step.try_to("kind", [&] { text += read_step(k, nodes[i], number); });
    for (std::size_t line = told; line < k.told.size(); ++line)
      k.told[line].insert(0, "step " + number + ": ");
  }
  if (!k.all().problems.empty() || nodes.empty())
    return text;
  const Hardening h = k.c.hardening();
  for (std::size_t s = 0; s < k.c.steps.size(); ++s)
    if (const Furnace* f = k.c.steps[s].as<Furnace>(); f && !f->timer_s && s != h.furnace)
      k.fail("step", "the furnace \"" + k.c.steps[s].name +
                         "\" needs a timer: the program sets only that of the last hardening");
  return text;
}

const Table& step_table() {
  static const Table table = [] {
    std::vector<Word> kinds;
    for (const std::string& word : all_words())
      kinds.push_back({word.c_str(), static_cast<double>(kinds.size())});
    Table t;
    t.key(
        "kind", kinds, sample(R"("furnace")"),
        "needed; furnace, bath and plates have the keys of [furnace] and [bath], oven those of [temper] with "
        "oven_kind for kind, air and cold their own below",
        own([](Scope& k) { return toml_string(k.node->text("kind")); }));
    t.key("name", aside(R"("first normalising")"), "as you call it; default: its kind",
          own([](Scope& k) { return toml_string(k.node->text("name", k.node->text("kind"))); }));
    return t;
  }();
  return table;
}

} // namespace tq::treatment::keys
