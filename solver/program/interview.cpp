#include "program/interview.hpp"

#include "records/document.hpp"

#include <iostream>
#include <unistd.h>
#include <utility>

namespace tq::program {

bool next_answer(const std::string& command, std::string& answer) {
  constexpr std::size_t most = 1000;
  answer.clear();
  for (char ch; std::cin.get(ch) && ch != '\n'; answer += ch)
    if (answer.size() == most)
      throw records::InputError(command + ": an answer of more than 1000 characters; one line is expected");
  return static_cast<bool>(std::cin);
}

Interview::Interview(std::string command)
    : command_(std::move(command)), person_(::isatty(STDIN_FILENO) != 0) {}

std::string Interview::ask(const std::string& question, const std::string& why, const std::string& usual,
                           const Check& check) {
  for (;;) {
    std::cout << "\n"
              << question << "\n  " << why << "\n> " << (usual.empty() ? "" : "[" + usual + "] ")
              << std::flush;
    std::string answer;
    const bool given = next_answer(command_, answer);
    while (!answer.empty() && (answer.back() == '\r' || answer.back() == ' '))
      answer.pop_back();
    if (!person_)
      std::cout << (answer.empty() ? usual : answer) << "\n";
    if (answer.empty())
      answer = usual;
    const std::string bad = answer.empty() ? "an answer is needed" : check(answer);
    if (bad.empty())
      return answer;
    if (!given || !person_)
      throw records::InputError(command_ + ": " + question + " " + bad);
    std::cout << "  " << bad << "\n";
  }
}

} // namespace tq::program
