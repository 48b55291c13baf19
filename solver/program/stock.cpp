// The shelf: which records there are, and where each value of one comes from.
#include "output/json.hpp"
#include "output/text.hpp"
#include "program/commands.hpp"
#include "program/material_library.hpp"
#include "records/read_coolant.hpp"
#include "records/read_foil.hpp"
#include "records/read_solid.hpp"
#include "records/read_steel.hpp"
#include "records/read_strains.hpp"

#include <algorithm>
#include <array>
#include <iostream>
#include <nlohmann/json.hpp>
#include <utility>

namespace tq::program {
namespace {

using output::folded;
using output::lower_case;
using output::padded;
using output::page_width;
using records::Provenance;
using treatment::RecordKind;

struct Kind {
  RecordKind kind;
  const char* plural; ///< as typed and as printed
};
constexpr std::array<Kind, 5> kinds{{{RecordKind::steel, "steels"},
                                     {RecordKind::coolant, "coolants"},
                                     {RecordKind::foil, "foils"},
                                     {RecordKind::solid, "solids"},
                                     {RecordKind::strains, "strains"}}};

/// What all kinds of records have in common.
struct Item {
  RecordKind kind = RecordKind::steel;
  std::string key, name, description;
  std::vector<Provenance> provenance;
};

template <typename Record>
Item as_item(RecordKind kind, const std::string& key, std::string name, const Record& record) {
  return {kind, key, std::move(name), record.description, record.provenance};
}

/// A shipped file, which must be there since its key was listed.
treatment::RecordText shipped(const MaterialLibrary& library, RecordKind kind, const std::string& key) {
  const auto record = library.shipped(kind, key);
  if (!record)
    throw records::InputError(std::string(treatment::record_kind_name(kind)) + " record '" + key +
                              "' cannot be read");
  return *record;
}

Item read_item(const MaterialLibrary& library, RecordKind kind, const std::string& key) {
  const treatment::RecordText record = shipped(library, kind, key);
  if (kind == RecordKind::coolant) {
    const auto coolant = records::read_coolant(record.text, record.file);
    return as_item(kind, key, coolant.name, coolant);
  }
  if (kind == RecordKind::foil) {
    const auto foil = records::read_foil(record.text, record.file);
    return as_item(kind, key, foil.name, foil);
  }
  if (kind == RecordKind::solid) {
    const auto solid = records::read_solid(record.text, record.file);
    return as_item(kind, key, solid.name, solid);
  }
  if (kind == RecordKind::strains)
    return {kind, key, "Expansion, growth on transforming, stiffness and yielding, shared by all steels",
            "What the bow is estimated from.", records::read_strains(record.text, record.file).provenance};
  const treatment::RecordText phases = shipped(library, RecordKind::phases, "phases");
  const auto steel =
      records::read_steel(record.text, record.file, records::read_phases(phases.text, phases.file));
  return as_item(kind, key, steel.designation, steel);
}

/// True for "steels" and for "steel".
bool names(const std::string& word, const Kind& kind) {
  return word == kind.plural || word == treatment::record_kind_name(kind.kind);
}

/// Keys of a kind; strains are one file for all steels, which a folder of one's own may lack.
std::vector<std::string> keys_of(const MaterialLibrary& library, RecordKind kind) {
  if (kind != RecordKind::strains)
    return library.keys(kind);
  const std::string only = treatment::record_kind_name(kind);
  return library.shipped(kind, only) ? std::vector<std::string>{only} : std::vector<std::string>{};
}

/// The records of a kind ("steels", "steel") or of a key in whatever case; all for an empty word.
std::vector<Item> select(const MaterialLibrary& library, const std::string& wanted) {
  const std::string word = lower_case(wanted);
  std::vector<Item> items;
  std::string all_keys;
  for (const Kind& kind : kinds) {
    const bool whole_kind = word.empty() || names(word, kind);
    for (const std::string& key : keys_of(library, kind.kind)) {
      all_keys += (all_keys.empty() ? "" : ", ") + key;
      if (whole_kind || word == lower_case(key))
        items.push_back(read_item(library, kind.kind, key));
    }
  }
  if (items.empty())
    throw records::InputError(
        "stock: nothing is called '" + wanted +
        "'; steels, coolants, foils, solids, strains or one of these is expected: " + all_keys);
  return items;
}

void print_folded(const std::string& text, std::size_t indent) {
  for (const std::string& line : folded(text, page_width - indent))
    std::cout << std::string(indent, ' ') << line << "\n";
}

/// One line or two per record, under the name of its kind.
void print_list(const std::vector<Item>& items) {
  std::size_t key_width = 0;
  for (const Item& item : items)
    key_width = std::max(key_width, output::columns(item.key));
  for (const Kind& kind : kinds) {
    bool first = true;
    for (const Item& item : items) {
      if (item.kind != kind.kind)
        continue;
      if (std::exchange(first, false))
        std::cout << (&item == &items.front() ? "" : "\n") << kind.plural << "\n";
      const std::size_t indent = key_width + 4;
      std::string label = padded(item.key, key_width);
      for (const std::string& line : folded(item.name, page_width - indent)) {
        std::cout << "  " << label << "  " << line << "\n";
        label = std::string(key_width, ' ');
      }
    }
  }
  std::cout << "\nWhere the values of one come from: thinquench stock KEY\n";
}

/// Every value of a record with its origin.
void print_origins(const Item& item) {
  std::cout << item.key << " (" << treatment::record_kind_name(item.kind) << "): " << item.name << "\n";
  print_folded(item.description, 2);
  for (const Provenance& p : item.provenance) {
    std::cout << "\n";
    print_folded(p.key + " = " + p.value, 0);
    print_folded("source: " + p.source, 4);
    if (!p.range.empty())
      print_folded("valid: " + p.range, 4);
    if (!p.uncertainty.empty())
      print_folded("uncertainty: " + p.uncertainty, 4);
    if (!p.note.empty())
      print_folded("note: " + p.note, 4);
  }
}

nlohmann::ordered_json as_json(const std::vector<Item>& items) {
  nlohmann::ordered_json list = nlohmann::ordered_json::array();
  for (const Item& item : items) {
    nlohmann::ordered_json values = nlohmann::ordered_json::array();
    for (const Provenance& p : item.provenance)
      values.push_back({{"key", p.key},
                        {"value", p.value},
                        {"source", p.source},
                        {"valid", p.range},
                        {"uncertainty", p.uncertainty},
                        {"note", p.note}});
    list.push_back({{"kind", treatment::record_kind_name(item.kind)},
                    {"key", item.key},
                    {"name", item.name},
                    {"description", item.description},
                    {"values", values}});
  }
  return {{"schema", "thinquench-stock"}, {"schema_version", 1}, {"records", list}};
}

// --- what a steel record leaves open
// ------------------------------------------------------------------------

/// Values of the record that rest on nothing published.
std::vector<std::string> weak_values(const records::SteelRecord& steel) {
  std::vector<std::string> keys;
  for (const Provenance& p : steel.provenance)
    for (const char* word : {"assumption, no source", "estimate, no source", "from memory"})
      if (p.source.find(word) != std::string::npos) {
        keys.push_back(p.key);
        break;
      }
  return keys;
}

void print_gaps(const std::string& name, const records::SteelRecord& steel,
                const steel::FilledRecord& filled) {
  std::cout << name << ": " << steel.designation << "\n";
  std::cout << (filled.gaps.empty() ? "\nNothing is missing.\n" : "\nMissing, and what is assumed instead\n");
  for (const steel::Gap& gap : filled.gaps) {
    print_folded(gap.key + " = " + gap.assumed + (gap.uncertainty.empty() ? "" : "   +/- " + gap.uncertainty),
                 2);
    print_folded(gap.source.substr(std::min(gap.source.size(), steel::gap_source.size() + 2)), 6);
  }
  std::cout << "\nOutside the range of the steels on which models and rules stand\n";
  if (filled.outside.empty())
    std::cout << "  nothing\n";
  for (const std::string& reason : filled.outside)
    print_folded(reason, 2);
  std::string weak;
  for (const std::string& key : weak_values(steel))
    weak += (weak.empty() ? "" : ", ") + key;
  std::cout << "\nIn the record, but an estimate or from memory\n";
  print_folded(weak.empty() ? "nothing" : weak, 2);
}

nlohmann::ordered_json gaps_json(const std::string& name, const records::SteelRecord& steel,
                                 const steel::FilledRecord& filled) {
  nlohmann::ordered_json gaps = nlohmann::ordered_json::array();
  for (const steel::Gap& gap : filled.gaps)
    gaps.push_back({{"key", gap.key},
                    {"assumed", gap.assumed},
                    {"source", gap.source},
                    {"uncertainty", gap.uncertainty}});
  return {{"schema", "thinquench-gaps"},
          {"schema_version", 1},
          {"record", name},
          {"name", steel.designation},
          {"missing", gaps},
          {"outside", filled.outside},
          {"weak", weak_values(steel)},
          {"filled_record", filled.text}};
}

/// Checks the record of a steel, shipped or at a path. Throws records::InputError when it is unsound.
void tell_gaps(const MaterialLibrary& library, const std::filesystem::path& materials,
               const std::string& wanted, bool json) {
  if (wanted.empty())
    throw UsageError("stock --gaps: the key of a steel or the path of its record is expected");
  treatment::RecordText record;
  if (treatment::is_record_path(wanted)) {
    record = {read_case_text(wanted), wanted};
  } else {
    const std::vector<std::string> keys = library.keys(RecordKind::steel);
    const auto key = std::find_if(keys.begin(), keys.end(),
                                  [&](const std::string& k) { return lower_case(k) == lower_case(wanted); });
    if (key == keys.end())
      throw records::InputError("stock --gaps: no steel is called '" + wanted +
                                "'; a key of `thinquench stock steels` or the path of a record is expected");
    record = shipped(library, RecordKind::steel, *key);
  }
  const steel::FilledRecord filled = fill_steel(materials, record);
  const treatment::RecordText phases = shipped(library, RecordKind::phases, "phases");
  const records::SteelRecord steel =
      records::read_steel(filled.text, record.file, records::read_phases(phases.text, phases.file));
  if (json)
    std::cout << output::json_text(gaps_json(wanted, steel, filled));
  else
    print_gaps(wanted, steel, filled);
}

} // namespace

void stock(const Options& options) {
  const std::filesystem::path materials = find_materials(options.materials);
  const MaterialLibrary library(materials, {});
  if (options.gaps) {
    tell_gaps(library, materials, options.wanted, options.json);
    return;
  }
  const std::vector<Item> items = select(library, options.wanted);
  if (options.keys) {
    for (const Item& item : items)
      std::cout << item.key << "\n";
    return;
  }
  if (options.json)
    std::cout << output::json_text(as_json(items));
  else if (const std::string word = lower_case(options.wanted);
           items.front().key != word && // the strains are their only record
           (word.empty() ||
            std::any_of(kinds.begin(), kinds.end(), [&](const Kind& kind) { return names(word, kind); })))
    print_list(items);
  else
    for (const Item& item : items)
      print_origins(item);
}

} // namespace tq::program
