#include "plain_target.hpp"

#include "promise.hpp"
#include "records/document.hpp"
#include "records/plain_toml.hpp"

#include <cstring>
#include <memory>
#include <string>

namespace tq::test {
namespace {

bool same(const records::Value& a, const records::Value& b) {
  if (a.kind != b.kind || a.line != b.line || a.text != b.text || a.whole != b.whole || a.flag != b.flag ||
      std::memcmp(&a.number, &b.number, sizeof a.number) != 0 || a.items.size() != b.items.size() ||
      a.entries.size() != b.entries.size())
    return false;
  for (std::size_t i = 0; i < a.items.size(); ++i)
    if (!same(a.items[i], b.items[i]))
      return false;
  for (const records::Entry& entry : a.entries) {
    const records::Entry* const other = b.find(entry.key);
    if (other == nullptr || !same(entry.value, other->value))
      return false;
  }
  return true;
}

} // namespace

void read_as_plain(std::string_view text) {
  const auto file = std::make_shared<const std::string>("f.toml");
  const auto quick = records::read_plain(text, file);
  if (!quick)
    return;
  try {
    hold(same(*quick, records::read_by_toml11(text, file)), "what is plain is read as toml11 reads it");
  } catch (const records::InputError&) {
    hold(false, "what is plain is valid TOML");
  }
}

} // namespace tq::test
