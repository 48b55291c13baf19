#include "well_formed.hpp"

#include <regex>
#include <vector>

namespace tq::test {

std::string xml_fault(const std::string& text) {
  static const std::regex tag(R"(<(/?)([A-Za-z][\w:.-]*)((?:\s+[\w:.-]+="[^"<]*")*)\s*(/?)>)");
  static const std::regex bare_ampersand("&(?!(?:amp|lt|gt|quot|#39);)");
  if (std::regex_search(text, bare_ampersand))
    return "bare ampersand";
  std::vector<std::string> open;
  std::size_t at = text.starts_with("<?xml") ? text.find("?>") + 2 : 0;
  bool root_seen = false;
  while ((at = text.find('<', at)) != std::string::npos) {
    const std::size_t end = text.find('>', at);
    if (end == std::string::npos)
      return "tag without end";
    const std::string here = text.substr(at, end - at + 1);
    std::smatch match;
    if (!std::regex_match(here, match, tag))
      return "no tag: " + here;
    if (match[1] == "/") {
      if (open.empty() || open.back() != match[2])
        return "closes what is not open: " + here;
      open.pop_back();
    } else {
      if (open.empty() && root_seen)
        return "second root: " + here;
      root_seen = true;
      if (match[4] != "/")
        open.push_back(match[2]);
    }
    at = end;
  }
  return open.empty() ? "" : "not closed: " + open.back();
}

} // namespace tq::test
