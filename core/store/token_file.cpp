#include "core/store/token_file.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <openssl/crypto.h>
#include <openssl/rand.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <functional>
#include <nlohmann/json.hpp>
#include <sstream>

#include "core/base/base64.hpp"
#include "core/base/digest.hpp"
#include "core/base/nearest.hpp"

namespace nestcup {

namespace {

using Json = nlohmann::ordered_json;

constexpr const char* format_name = "nestcup-tokens";
constexpr std::size_t longest_name = 60;
constexpr std::size_t token_bytes = 32;

/// Held while the file is changed, so that of two who add at once both are kept.
class ChangeLock {
 public:
  explicit ChangeLock(const std::string& path)
      : descriptor_(open((path + ".lock").c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0600)) {
    if (descriptor_ >= 0) held_ = flock(descriptor_, LOCK_EX) == 0;
  }
  ChangeLock(const ChangeLock&) = delete;
  ChangeLock& operator=(const ChangeLock&) = delete;
  ~ChangeLock() {
    if (descriptor_ >= 0) close(descriptor_);
  }
  [[nodiscard]] bool is_held() const { return held_; }

 private:
  int descriptor_;
  bool held_ = false;
};

Error failed(const std::string& path, std::string_view doing) {
  const int code = errno;
  const bool refused = code == EACCES || code == EPERM;
  return {refused ? Fault::not_permitted : Fault::io,
          fmt::format("{}: {}: {}", path, doing, std::strerror(code))};
}

Result<std::vector<Token>> parse_tokens(const std::string& text, const std::string& path) {
  try {
    const Json json = Json::parse(text);
    if (json.at("format") == format_name && json.at("version") == 1) {
      std::vector<Token> tokens;
      for (const Json& one : json.at("tokens")) {
        tokens.push_back({one.at("name"), one.at("role"), one.at("sha256"), one.at("made_at")});
      }
      return tokens;
    }
  } catch (const Json::exception&) {
    // Told below, as all else that is none.
  }
  return Error{Fault::bad_data,
               path +
                   ": is no file of tokens, or of a newer nestcup; move it away and make new "
                   "tokens with: nestcup token add NAME"};
}

std::string tokens_text(const std::vector<Token>& tokens) {
  Json list = Json::array();
  for (const Token& one : tokens) {
    list.push_back(
        {{"name", one.name}, {"role", one.role}, {"sha256", one.sha256}, {"made_at", one.made_at}});
  }
  return Json{{"format", format_name}, {"version", 1}, {"tokens", std::move(list)}}.dump(2) + "\n";
}

Result<void> write_all(int descriptor, std::string_view text, const std::string& path) {
  while (!text.empty()) {
    const ssize_t written = write(descriptor, text.data(), text.size());
    if (written < 0 && errno != EINTR) return failed(path, "cannot be written");
    if (written > 0) text.remove_prefix(static_cast<std::size_t>(written));
  }
  if (fsync(descriptor) != 0) return failed(path, "cannot be written");
  return {};
}

/// Written aside and then given its name, so that the daemon never reads half of it.
Result<void> write_tokens(const std::string& path, const std::vector<Token>& tokens) {
  const std::string aside = path + ".new";
  const int descriptor =
      open(aside.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC | O_NOFOLLOW, 0600);
  if (descriptor < 0) return failed(aside, "cannot be made");
  auto written = fchmod(descriptor, 0600) == 0 ? write_all(descriptor, tokens_text(tokens), aside)
                                               : Result<void>(failed(aside, "cannot be made"));
  close(descriptor);
  if (written && rename(aside.c_str(), path.c_str()) != 0) written = failed(path, "cannot be made");
  if (!written) unlink(aside.c_str());
  return written;
}

Result<void> change_tokens(const std::string& path,
                           const std::function<Result<void>(std::vector<Token>&)>& change) {
  const ChangeLock lock(path);
  if (!lock.is_held()) return failed(path + ".lock", "cannot be locked");
  auto tokens = read_tokens(path);
  if (!tokens) return tokens.error();
  if (auto changed = change(*tokens); !changed) return changed;
  return write_tokens(path, *tokens);
}

Result<void> check_name(const std::string& name) {
  const bool plain = std::all_of(name.begin(), name.end(), [](unsigned char c) {
    return std::isalnum(c) != 0 || c == '-' || c == '_' || c == '.';
  });
  if (plain && !name.empty() && name.size() <= longest_name) return {};
  return Error{Fault::usage, fmt::format("\"{}\" is no name for a token: 1 to {} letters, digits, "
                                         "-, _ or . are possible",
                                         name, longest_name)};
}

/// base64url without padding (RFC 4648, section 5).
std::string new_token() {
  std::array<unsigned char, token_bytes> random{};
  if (RAND_bytes(random.data(), static_cast<int>(random.size())) != 1) std::abort();
  std::string text = base64_text({reinterpret_cast<const char*>(random.data()), random.size()});
  std::replace(text.begin(), text.end(), '+', '-');
  std::replace(text.begin(), text.end(), '/', '_');
  text.erase(text.find_last_not_of('=') + 1);
  return text;
}

}  // namespace

std::string token_file_path(const std::string& store) {
  return store + ".tokens";
}

Result<std::vector<Token>> read_tokens(const std::string& path) {
  std::ifstream file(path);
  if (!file) {
    if (errno == ENOENT) return std::vector<Token>{};
    return failed(path, "cannot be read");
  }
  std::ostringstream text;
  text << file.rdbuf();
  return parse_tokens(text.str(), path);
}

Result<std::string> add_token(const std::string& path, const std::string& name,
                              const std::string& role, const std::string& now) {
  if (auto good = check_name(name); !good) return good.error();
  if (role != "viewer" && role != "operator") {
    return Error{Fault::usage, fmt::format("\"{}\" is no role, expected viewer or operator", role)};
  }
  const std::string token = new_token();
  const auto added = change_tokens(path, [&](std::vector<Token>& tokens) -> Result<void> {
    const auto place = std::find_if(tokens.begin(), tokens.end(),
                                    [&](const Token& one) { return one.name >= name; });
    if (place != tokens.end() && place->name == name) {
      return Error{Fault::cannot_create,
                   fmt::format("{}: {} has a token already; take it back first with: nestcup token "
                               "remove {}",
                               path, name, name)};
    }
    tokens.insert(place, {name, role, sha256_hex(token), now});
    return {};
  });
  if (!added) return added.error();
  return token;
}

Result<void> remove_token(const std::string& path, const std::string& name) {
  return change_tokens(path, [&](std::vector<Token>& tokens) -> Result<void> {
    const auto found = std::find_if(tokens.begin(), tokens.end(),
                                    [&](const Token& one) { return one.name == name; });
    if (found != tokens.end()) {
      tokens.erase(found);
      return {};
    }
    std::vector<std::string> names;
    for (const Token& one : tokens) names.push_back(one.name);
    const auto meant = nearest(name, names);
    return Error{Fault::no_input,
                 fmt::format("{}: nobody called {} has a token{}", path, name,
                             meant ? fmt::format("; did you mean {}?", *meant) : "")};
  });
}

std::optional<Token> find_token(const std::vector<Token>& tokens, std::string_view token) {
  const std::string digest = sha256_hex(token);
  std::optional<Token> found;
  for (const Token& one : tokens) {
    if (one.sha256.size() == digest.size() &&
        CRYPTO_memcmp(one.sha256.data(), digest.data(), digest.size()) == 0) {
      found = one;
    }
  }
  return found;
}

}  // namespace nestcup
