#include "tools/cli/completion.hpp"

namespace nestcup::cli {

std::vector<std::string> completion_shells() {
  return {"bash", "zsh", "fish"};
}

std::optional<std::string> completion_script(const ProgramSpec& program, const std::string& shell) {
  if (shell == "bash") return bash_script(program);
  if (shell == "zsh") return zsh_script(program);
  if (shell == "fish") return fish_script(program);
  return std::nullopt;
}

}  // namespace nestcup::cli
