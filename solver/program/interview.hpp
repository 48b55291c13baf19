// Questions to a person on a terminal, or to a pipe.
#pragma once

#include <functional>
#include <string>

namespace tq::program {

/// What becomes of an answer: nothing when it will do, else one line of why not.
using Check = std::function<std::string(std::string& answer)>;

/// The next line of the standard input; false at its end. Throws records::InputError that begins with
/// `command` when it is longer than any answer: a device or another file never ends one.
bool next_answer(const std::string& command, std::string& answer);

class Interview {
 public:
  /// `command`: for messages.
  explicit Interview(std::string command);
  /// The answer to a question; `usual` for an empty line and after the end of the input. Without `usual` an
  /// answer must be given. A person is asked again after a bad answer; from a pipe it is refused (throws
  /// records::InputError).
  std::string ask(const std::string& question, const std::string& why, const std::string& usual,
                  const Check& check);

 private:
  std::string command_;
  bool person_;
};

} // namespace tq::program
