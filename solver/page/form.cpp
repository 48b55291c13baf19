#include "page/form.hpp"

#include "answers/find.hpp"
#include "answers/telling.hpp"
#include "output/html.hpp"
#include "output/json.hpp"
#include "page/edit.hpp"
#include "shop/noting.hpp"
#include "treatment/keys/key.hpp"
#include "units/quantity.hpp"

#include <algorithm>
#include <nlohmann/json.hpp>
#include <optional>

namespace tq::page {
namespace {

using Json = nlohmann::ordered_json;
using treatment::RecordKind;
using treatment::keys::Key;
using treatment::keys::Table;
using Holds = treatment::keys::Slot::Holds;

/// Keys that are read by a reader of their own, as fields.
struct Own {
  const char* path;
  Kind kind;
  const char* dimension;
  const char* stock;
  std::vector<std::string> words;
};
const std::vector<Own>& own_fields() {
  static const std::vector<Own> all = {
      {"blade.steel", Kind::choice, "", "steel", {}},
      {"wrap.foil", Kind::choice, "", "foil", {"none"}},
      {"wrap.fold", Kind::choice, "", "", {"hand folded", "pressed"}},
      {"wrap.gap", Kind::quantity, "length", "", {}},
      {"bath.coolant", Kind::choice, "", "coolant", {}},
      {"second_bath.coolant", Kind::choice, "", "coolant", {}},
      {"bath.plates.metal", Kind::choice, "", "", {"aluminium", "copper"}},
      {"wish.hardness", Kind::hardness, "hardness_HRC", "", {}},
  };
  return all;
}

std::string allowed_of(const Key& key) {
  if (key.to.holds == Holds::choice || key.to.holds == Holds::flag || !std::isfinite(key.range.least))
    return "";
  return records::allowed(key.range, key.dimension);
}

void add(std::vector<Field>& out, const Table& table, const std::string& path) {
  for (const Key& key : table.keys) {
    const std::string full = path.empty() ? key.name : path + "." + key.name;
    if (key.table) {
      const bool several = key.to.holds == Holds::tables;
      const std::string name = key.name;
      if (!several && name != "step" && name != "outline" && name != "caliper" && name != "output" &&
          name != "coat")
        add(out, key.table(), name == "station" ? full + "[1]" : full);
      continue;
    }
    Field field{
        full, path, {}, key.says, key.sample ? key.sample : "", allowed_of(key), key.usual ? key.usual : "",
        ""};
    Typing& typing = field.typing;
    for (const auto& word : key.words)
      typing.words.emplace_back(word.word);
    const auto own = std::find_if(own_fields().begin(), own_fields().end(),
                                  [&](const Own& each) { return full == each.path; });
    if (own != own_fields().end()) {
      typing.kind = own->kind;
      typing.dimension = own->dimension;
      typing.words = own->words;
      field.stock = own->stock;
    } else if (path == "uncertainty") {
      typing.kind = Kind::doubt;
      typing.words = {"measured", "typical", "from memory", "exact"};
    } else if (key.own || key.to.holds == Holds::own || key.to.holds == Holds::list ||
               key.to.holds == Holds::faces) {
      continue;
    } else {
      typing.dimension = key.dimension;
      typing.kind = key.to.holds == Holds::text      ? Kind::text
                    : key.to.holds == Holds::flag    ? Kind::flag
                    : key.to.holds == Holds::integer ? Kind::integer
                    : key.to.holds == Holds::choice  ? Kind::choice
                    : *key.dimension != '\0'         ? Kind::quantity
                                                     : Kind::number;
    }
    if (typing.kind == Kind::quantity)
      typing.usual_unit = unit_of(field.usual.empty() || field.usual[0] == '0' ? field.sample : field.usual,
                                  typing.dimension, false);
    out.push_back(std::move(field));
  }
}

const char* name_of(Kind kind) {
  switch (kind) {
  case Kind::text:
    return "text";
  case Kind::quantity:
    return "quantity";
  case Kind::number:
    return "number";
  case Kind::integer:
    return "integer";
  case Kind::flag:
    return "flag";
  case Kind::choice:
    return "choice";
  case Kind::hardness:
    return "hardness";
  case Kind::doubt:
    return "doubt";
  }
  return "";
}

/// The table at a path of `root`; nothing when it is not there or something else.
std::optional<records::Node> table_at(const records::Node& root, const std::string& path) {
  records::Node at = root;
  for (std::size_t begin = 0; begin < path.size();) {
    const std::size_t dot = std::min(path.find('.', begin), path.size());
    std::string name = path.substr(begin, dot - begin);
    begin = dot + 1;
    try {
      if (const auto bracket = name.find('['); bracket != std::string::npos) {
        const auto number = static_cast<std::size_t>(std::stoul(name.substr(bracket + 1)));
        const auto tables = at.tables(name.substr(0, bracket));
        if (number > tables.size())
          return {};
        at = tables[number - 1];
      } else {
        const auto table = at.optional_table(name);
        if (!table)
          return {};
        at = *table;
      }
    } catch (const records::InputError&) {
      return {};
    }
  }
  return at;
}

constexpr std::string_view first_station = "blade.station[1].";

/// The path of the same key of the first station; any other path as it is.
std::string at_first_station(const std::string& path) {
  const std::size_t digits = std::string_view("blade.station[").size();
  const std::size_t close = path.find("].");
  if (path.compare(0, digits, first_station.substr(0, digits)) != 0 || close == std::string::npos)
    return path;
  return std::string(first_station) + path.substr(close + 2);
}

template <class Use>
void for_each_value(const records::Node& root, const Use& use) {
  std::string last = "?";
  std::optional<records::Node> table;
  for (const Field& field : fields()) {
    if (field.table != last) {
      table = table_at(root, field.table);
      last = field.table;
    }
    const std::string key = field.path.substr(field.table.empty() ? 0 : field.table.size() + 1);
    if (table && table->has(key))
      use(field.path, field_text(table->written(key)));
  }
  for (std::size_t number = 2;; ++number) {
    const std::string station = "blade.station[" + std::to_string(number) + "]";
    const auto further = table_at(root, station);
    if (!further)
      return;
    for (const Field& field : fields())
      if (field.table + "." == first_station) {
        const std::string key = field.path.substr(first_station.size());
        if (further->has(key))
          use(station + "." + key, field_text(further->written(key)));
      }
  }
}

/// What the journal asks of a blade, or of a coupon.
Json readings_json(const std::vector<shop::Asked>& all) {
  const auto name = [](shop::Asked::Kind kind) {
    switch (kind) {
    case shop::Asked::Kind::words:
      return "words";
    case shop::Asked::Kind::time:
    case shop::Asked::Kind::minutes:
      return "time";
    case shop::Asked::Kind::temperature:
      return "temperature";
    case shop::Asked::Kind::length:
      return "length";
    case shop::Asked::Kind::feel:
      return "feel";
    case shop::Asked::Kind::places:
      return "places";
    case shop::Asked::Kind::log:
      return "log";
    case shop::Asked::Kind::hardness:
      return "hardness";
    case shop::Asked::Kind::count:
      return "count";
    }
    return "";
  };
  Json out = Json::array();
  for (const shop::Asked& asked : all)
    out.push_back({{"key", asked.key}, {"asks", asked.asks}, {"why", asked.why}, {"kind", name(asked.kind)}});
  return out;
}

/// A quantity with both of its units, "" for others.
std::string both_units(const std::string& text, const std::string& dimension) {
  try {
    if (dimension == "length")
      return answers::length_text(units::parse_quantity(text, dimension));
    if (dimension == "temperature")
      return answers::temperature_text(units::parse_quantity(text, dimension));
    if (dimension == "temperature_difference")
      return answers::difference_text(units::parse_quantity(text, dimension));
    if (dimension == "volume")
      return answers::volume_text(units::parse_quantity(text, dimension));
  } catch (const units::QuantityError&) { // a word
  }
  return "";
}

} // namespace

const std::vector<Field>& fields() {
  static const std::vector<Field> all = [] {
    std::vector<Field> out;
    add(out, treatment::keys::case_table(), "");
    return out;
  }();
  return all;
}

const Field* field_of(const std::string& path) {
  const std::string first = at_first_station(path);
  const auto at =
      std::find_if(fields().begin(), fields().end(), [&](const Field& f) { return f.path == first; });
  return at == fields().end() ? nullptr : &*at;
}

const Field* field_of_step(const std::string& path) {
  const std::size_t dot = path.find("].");
  if (!path.starts_with("step[") || dot == std::string::npos)
    return nullptr;
  for (const char* table : {"furnace.", "transfer.", "bath.", "cool.", "temper."})
    if (const Field* field = field_of(table + path.substr(dot + 2)))
      return field;
  return nullptr;
}

std::string form_json(const Shelf& shelf) {
  Json out = {{"fields", Json::array()},
              {"stocks", Json::object()},
              {"examples", Json::array()},
              {"questions", Json::array()},
              {"readings", readings_json(shop::asked_of_a_blade())},
              {"coupon", readings_json(shop::asked_of_a_coupon())},
              {"zones", Json::array()}};
  for (std::size_t z = 0; z < treatment::zone_count; ++z)
    out["zones"].push_back(treatment::zone_name(static_cast<treatment::Zone>(z)));
  for (const Field& f : fields())
    out["fields"].push_back({{"path", f.path},
                             {"table", f.table},
                             {"kind", name_of(f.typing.kind)},
                             {"dimension", f.typing.dimension},
                             {"words", f.typing.words},
                             {"stock", f.stock},
                             {"says", f.says},
                             {"sample", f.sample},
                             {"allowed", f.allowed},
                             {"usual", f.usual}});
  for (const RecordKind kind : {RecordKind::steel, RecordKind::coolant, RecordKind::foil}) {
    Json& stock = out["stocks"][treatment::record_kind_name(kind)] = Json::array();
    for (const std::string& key : shelf.keys(kind))
      stock.push_back({{"key", key}, {"title", shelf.title(kind, key)}});
  }
  for (const Example& example : Shelf::examples())
    out["examples"].push_back({{"key", example.key}, {"title", example.title}, {"text", example.text}});
  for (const answers::Question& question : answers::questions())
    out["questions"].push_back({{"key", question.key},
                                {"asks", question.asks},
                                {"wish", question.wish},
                                {"dimension", question.wish_dimension},
                                {"safe", question.safe_side}});
  return output::json_line(out);
}

std::vector<Problem> problems_of(const std::string& messages, const std::string& file) {
  std::vector<Problem> out;
  for (std::size_t begin = 0; begin < messages.size();) {
    const std::size_t end = std::min(messages.find('\n', begin), messages.size());
    std::string line = messages.substr(begin, end - begin);
    begin = end + 1;
    Problem problem;
    if (line.compare(0, file.size() + 1, file + ":") == 0) {
      line.erase(0, file.size() + 1);
      std::size_t digits = 0;
      while (digits < line.size() && line[digits] >= '0' && line[digits] <= '9')
        ++digits;
      if (digits > 0 && digits < 9) {
        problem.line = std::stoi(line.substr(0, digits));
        line.erase(0, digits + (line.compare(digits, 1, ":") == 0 ? 1 : 0));
      }
      line.erase(0, std::min(line.find_first_not_of(' '), line.size()));
    }
    const auto colon = line.find(": ");
    if (colon != std::string::npos &&
        line.find_first_not_of("abcdefghijklmnopqrstuvwxyz_.[]0123456789") >= colon) {
      problem.path = line.substr(0, colon);
      line.erase(0, colon + 2);
    }
    problem.message = line;
    out.push_back(std::move(problem));
  }
  return out;
}

Json values_json(const std::string& text) {
  Json out = Json::object();
  try {
    for_each_value(records::parse_document(text, "case"),
                   [&](const std::string& path, const std::string& value) { out[path] = value; });
  } catch (const records::InputError&) { // the reader of the case says what is wrong
  }
  return out;
}

Json echoes_json(const std::string& resolved) {
  Json out = Json::object();
  for (const auto& [path, written] : values_of(resolved))
    if (const Field* field = field_of(path)) {
      const std::string value = field_text(written), both = both_units(value, field->typing.dimension);
      out[path] = output::plain_units(both.empty() ? value : both);
    }
  return out;
}

} // namespace tq::page
