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
#include <filesystem>
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
constexpr std::size_t digest_digits = 64;

/// Held while the file is changed, so that of two who add at once both are kept.
class ChangeLock {
 public:
  explicit ChangeLock(const std::string& path)
      : descriptor_(
            open((path + ".lock").c_str(), O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0600)) {
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

Error broken(const std::string& where, std::string_view what) {
  return {Fault::bad_data,
          fmt::format("{}: {}; move the file away and make new tokens with: nestcup token add NAME",
                      where, what)};
}

bool is_role(std::string_view role) {
  return role == "viewer" || role == "operator";
}

bool is_digest(std::string_view text) {
  return text.size() == digest_digits &&
         text.find_first_not_of("0123456789abcdef") == std::string_view::npos;
}

/// What is wrong with an entry behind those that were read before; empty where nothing is.
std::string entry_fault(const Json& one, const std::vector<Token>& before) {
  for (const char* const key : {"name", "role", "sha256", "made_at"}) {
    const auto found = one.is_object() ? one.find(key) : one.end();
    if (!one.is_object() || found == one.end() || !found->is_string()) {
      return fmt::format("{} is missing, or no text", key);
    }
  }
  const std::string name = one["name"];
  const std::string role = one["role"];
  if (!is_role(role)) return fmt::format("role is \"{}\", expected viewer or operator", role);
  if (!is_digest(one["sha256"].get<std::string>())) {
    return fmt::format("sha256 is none of {} hexadecimal digits", digest_digits);
  }
  const bool is_twice = std::any_of(before.begin(), before.end(),
                                    [&](const Token& token) { return token.name == name; });
  return is_twice ? fmt::format("\"{}\" is there twice", name) : "";
}

Result<std::vector<Token>> read_entries(const Json& json, const std::string& path) {
  const bool is_ours = json.is_object() && json.value("format", Json()) == format_name &&
                       json.value("version", Json()) == 1 && json.contains("tokens") &&
                       json["tokens"].is_array();
  if (!is_ours) return broken(path, "is no file of tokens, or of a newer nestcup");
  std::vector<Token> tokens;
  for (const Json& one : json["tokens"]) {
    if (const std::string fault = entry_fault(one, tokens); !fault.empty()) {
      return broken(path, fmt::format("token {}: {}", tokens.size() + 1, fault));
    }
    tokens.push_back({one["name"], one["role"], one["sha256"], one["made_at"]});
  }
  return tokens;
}

Result<std::vector<Token>> parse_tokens(const std::string& text, const std::string& path) {
  try {
    return read_entries(Json::parse(text), path);
  } catch (const Json::parse_error& error) {
    const std::size_t read = std::min(error.byte, text.size());
    const auto line = 1 + std::count(text.data(), text.data() + (read > 0 ? read - 1 : 0), '\n');
    return broken(fmt::format("{}:{}", path, line), "is no JSON");
  } catch (const Json::exception&) {
    return broken(path, "holds a number that is too large");
  }
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

/// Where a symbolic link leads, so that it goes on leading there.
std::string behind_links(const std::string& path) {
  std::error_code none;
  const auto behind = std::filesystem::canonical(path, none);
  return none ? path : behind.string();
}

Result<void> change_tokens(const std::string& written_path,
                           const std::function<Result<void>(std::vector<Token>&)>& change) {
  const std::string path = behind_links(written_path);
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
  if (!is_role(role)) {
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
