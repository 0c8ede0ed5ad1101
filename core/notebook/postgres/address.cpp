#include "core/notebook/postgres/address.hpp"

#include <fmt/format.h>
#include <libpq-fe.h>

#include <algorithm>
#include <array>
#include <memory>

#include "core/base/version.hpp"

namespace nestcup {
namespace {

using Words = std::vector<std::pair<std::string, std::string>>;

/// Keywords of libpq (PostgreSQL 15 documentation, section 34.1.2) where an address leaves them
/// out, s and ms. A server that went silent is noticed within about a minute.
constexpr std::array<std::pair<const char*, const char*>, 6> usual_words{{
    {"connect_timeout", "10"},
    {"keepalives", "1"},
    {"keepalives_idle", "20"},
    {"keepalives_interval", "10"},
    {"keepalives_count", "3"},
    {"tcp_user_timeout", "30000"},
}};

const std::string* value_of(const Words& words, std::string_view key) {
  const auto found =
      std::find_if(words.begin(), words.end(), [&](const auto& word) { return word.first == key; });
  return found == words.end() ? nullptr : &found->second;
}

/// Whether all hosts that are named are this machine: a folder of sockets, or the loopback.
bool is_this_machine(const Words& words) {
  constexpr std::array<std::string_view, 3> loopbacks{"localhost", "127.0.0.1", "::1"};
  for (const char* const key : {"host", "hostaddr"}) {
    const std::string* const host = value_of(words, key);
    if (host == nullptr || host->empty() || host->front() == '/' || host->front() == '@') continue;
    if (std::find(loopbacks.begin(), loopbacks.end(), *host) == loopbacks.end()) return false;
  }
  return true;
}

std::string quoted(const std::string& value) {
  std::string text = "'";
  for (const char c : value) {
    if (c == '\'' || c == '\\') text += '\\';
    text += c;
  }
  return text + '\'';
}

}  // namespace

bool is_postgres_address(std::string_view text) {
  return text.starts_with("postgres://") || text.starts_with("postgresql://");
}

Result<PostgresAddress> PostgresAddress::parse(const std::string& written) {
  // libpq's own message would repeat the address, and with it a password.
  const Error wrong{Fault::bad_configuration,
                    "the address of the database is not one that PostgreSQL knows; expected "
                    "postgres://USER@HOST:PORT/DATABASE?sslmode=verify-full"};
  const bool plain = std::none_of(written.begin(), written.end(), [](char c) {
    return static_cast<unsigned char>(c) <= ' ' || c == '\x7f';
  });
  if (!is_postgres_address(written) || !plain) return wrong;
  const std::unique_ptr<PQconninfoOption, void (*)(PQconninfoOption*)> parsed(
      PQconninfoParse(written.c_str(), nullptr), PQconninfoFree);
  if (!parsed) return wrong;
  PostgresAddress address;
  address.text_ = written;
  for (const PQconninfoOption* option = parsed.get(); option->keyword != nullptr; ++option) {
    if (option->val == nullptr) continue;
    const std::string key = option->keyword;
    if (key == "password" || key == "sslpassword") {
      return Error{Fault::bad_configuration,
                   "the address of the database has a password in it, which would show in lists "
                   "and logs; take it out and keep it in a file (password_file in the bench file, "
                   "or libpq's own ~/.pgpass)"};
    }
    address.words_.emplace_back(key, option->val);
  }
  return address;
}

std::string PostgresAddress::options(const std::string& password) const {
  Words words = words_;
  const auto add = [&](const char* key, const std::string& value) {
    if (value_of(words, key) == nullptr) words.emplace_back(key, value);
  };
  for (const auto& [key, value] : usual_words) add(key, value);
  add("application_name", fmt::format("nestcup {}", version_text));
  if (!is_this_machine(words)) add("sslmode", "verify-full");
  if (!password.empty()) add("password", password);
  std::string text;
  for (const auto& [key, value] : words) text += fmt::format("{}={} ", key, quoted(value));
  return text;
}

}  // namespace nestcup
