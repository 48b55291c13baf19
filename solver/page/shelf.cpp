#include "page/shelf.hpp"

#include "page_shelf_texts.hpp"
#include "records/read_steel.hpp"
#include "steel/record_gaps.hpp"

#include <string_view>

namespace tq::page {
namespace {

using treatment::RecordKind;
using treatment::RecordText;

/// The folder in which records of this kind stand, as in the table of texts.
std::string_view folder_of(RecordKind kind) {
  const bool own = kind == RecordKind::steel || kind == RecordKind::coolant || kind == RecordKind::foil ||
                   kind == RecordKind::solid;
  return own ? treatment::record_kind_name(kind) : "all";
}

const ShelfText* found(std::string_view kind, std::string_view key) {
  for (const ShelfText& each : shelf_texts)
    if (kind == each.kind && key == each.key)
      return &each;
  return nullptr;
}

std::string first_text(const records::Node& node, std::initializer_list<const char*> keys) {
  for (const char* key : keys)
    if (node.has(key) && node.is_text(key))
      return node.text(key);
  return "";
}

} // namespace

RecordText Shelf::whole(RecordKind kind, RecordText record) const {
  if (kind != RecordKind::steel)
    return record;
  auto [at, made] = filled_.try_emplace(record.text);
  if (made) {
    try {
      const ShelfText &phases = *found("all", "phases"), &model = *found("all", "temper_model");
      at->second = steel::fill_gaps(record.text, record.file, records::read_phases(phases.text, phases.file),
                                    steel::read_temper_model(model.text, model.file))
                       .text;
    } catch (...) {
      filled_.erase(at);
      throw;
    }
  }
  record.text = at->second;
  return record;
}

std::optional<RecordText> Shelf::shipped(RecordKind kind, const std::string& key) const {
  const ShelfText* text = found(folder_of(kind), key);
  if (text == nullptr)
    return {};
  return whole(kind, {text->text, text->file});
}

std::optional<RecordText> Shelf::at_path(RecordKind kind, const std::string& path) const {
  if (const auto at = own_.find(path); at != own_.end())
    return whole(kind, {at->second, path});
  for (const ShelfText& each : shelf_texts) // what the shipped cases have beside them
    if (path == each.file)
      return whole(kind, {each.text, path});
  return {};
}

const std::string* Shelf::own(const std::string& path) const {
  auto at = own_.find(path);
  if (at == own_.end())
    at = own_.find(path.substr(path.find_last_of("/\\") + 1));
  return at == own_.end() ? nullptr : &at->second;
}

std::vector<std::string> Shelf::keys(RecordKind kind) const {
  std::vector<std::string> out;
  for (const ShelfText& each : shelf_texts)
    if (folder_of(kind) == each.kind)
      out.emplace_back(each.key);
  return out;
}

std::string Shelf::title(RecordKind kind, const std::string& key) const {
  const ShelfText* text = found(folder_of(kind), key);
  return text == nullptr
             ? ""
             : first_text(records::parse_document(text->text, text->file), {"designation", "name"});
}

std::vector<Example> Shelf::examples() {
  std::vector<Example> out;
  for (const ShelfText& each : shelf_texts)
    if (std::string_view(each.kind) == "case")
      out.push_back(
          {each.key, first_text(records::parse_document(each.text, each.file), {"title"}), each.text});
  return out;
}

} // namespace tq::page
