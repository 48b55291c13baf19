#include "treatment/record_names.hpp"

#include "records/document.hpp"

#include <algorithm>
#include <cctype>

namespace tq::treatment {

using records::Node;

namespace {

/// Letters and digits alone, in small letters: "100Cr6", "100 cr 6".
std::string plain_name(std::string_view text) {
  std::string out;
  for (char c : text)
    if ((c >= '0' && c <= '9') || (c >= 'a' && c <= 'z'))
      out += c;
    else if (c >= 'A' && c <= 'Z')
      out += static_cast<char>(c - 'A' + 'a');
  return out;
}

/// Whether the title of a record gives this as one of its names: what stands before a bracket ("100Cr6" in
/// "52100 (SAE J404); 100Cr6 (ISO 683-17)"), and in it the words of a coolant ("vegetable oil (canola or
/// soybean)") or the numbers of a steel (1.2842, UNS T31501). What it is only close to is another thing.
bool names(const std::string& title, const std::string& wanted, bool steel) {
  for (std::size_t at = 0; at < title.size();) {
    const std::size_t end = std::min(title.find(';', at), title.size());
    const std::string part = title.substr(at, end - at), before = part.substr(0, part.find('('));
    at = end + 1;
    if (part.find("close to") != std::string::npos)
      continue;
    if (plain_name(before) == wanted)
      return true;
    std::string word;
    for (const char ch : part.substr(before.size()) + " ")
      if (ch == ' ' || ch == ',' || ch == '(' || ch == ')') {
        const bool number = word.find('.') != std::string::npos || (word.size() == 6 && word[0] == 'T');
        if (plain_name(word) == wanted && (!steel || number))
          return true;
        word.clear();
      } else
        word += ch;
  }
  return false;
}

} // namespace

std::string key_by_title(const RecordSource& records, RecordKind kind, const std::string& name) {
  const std::string wanted = plain_name(name);
  std::string found;
  for (const std::string& key : records.keys(kind))
    if (std::equal(key.begin(), key.end(), name.begin(), name.end(), [](unsigned char a, unsigned char b) {
          return std::tolower(a) == std::tolower(b); // "o1"
        }))
      return key;
  if (wanted.size() < 4)
    return "";
  for (const std::string& key : records.keys(kind)) {
    const auto text = records.shipped(kind, key);
    const Node record = records::parse_document(text ? text->text : "format = 1", key);
    for (const char* title : {"designation", "name"})
      if (record.is_text(title) && names(record.text(title), wanted, kind == RecordKind::steel)) {
        if (!found.empty() && found != key)
          return "";
        found = key;
      }
  }
  return found;
}

} // namespace tq::treatment
