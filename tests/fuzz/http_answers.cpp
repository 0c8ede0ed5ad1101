#include "tests/fuzz/http_answers.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <nlohmann/json.hpp>

namespace nestcup::fuzzing {
namespace {

constexpr std::array known_statuses{100, 101, 200, 400, 401, 403, 404, 405,
                                    413, 415, 421, 426, 431, 501, 503};
constexpr std::size_t line_begin = 9;  // "HTTP/1.1 "

bool begins_answer(std::string_view text) {
  return text.starts_with("HTTP/1.1 ") || text.starts_with("HTTP/1.0 ");
}

std::size_t number_at(std::string_view text) {
  std::size_t number = 0;
  std::from_chars(text.data(), text.data() + text.size(), number);
  return number;
}

/// The value of a field in a head; empty where there is none.
std::string_view field_of(std::string_view head, std::string_view name) {
  const std::size_t at = head.find(name);
  if (at == std::string_view::npos) return {};
  head.remove_prefix(at + name.size());
  return head.substr(0, head.find("\r\n"));
}

std::optional<std::string> broken_error(std::string_view body) {
  const auto json = nlohmann::json::parse(body, nullptr, false);
  if (json.is_discarded()) return "a body that is no JSON: " + std::string(body);
  const auto error = json.value("error", nlohmann::json::object());
  if (error.value("kind", "").empty() || error.value("text", "").empty()) {
    return "an error without a word: " + std::string(body);
  }
  return std::nullopt;
}

/// Takes frames off the text: unmasked, whole, of kinds that a server sends here.
std::optional<std::string> broken_frames(std::string_view text) {
  while (text.size() >= 2) {
    const auto first = static_cast<unsigned char>(text[0]);
    const auto second = static_cast<unsigned char>(text[1]);
    const unsigned kind = first & 0x0fU;
    std::size_t size = second;
    std::size_t begin = 2;
    if (size == 126 && text.size() >= 4) {
      size = static_cast<std::size_t>(static_cast<unsigned char>(text[2])) << 8U |
             static_cast<unsigned char>(text[3]);
      begin = 4;
    }
    if ((first & 0xf0U) != 0x80U || (kind != 1 && kind != 8 && kind != 10) || second > 126) {
      return "a frame of another kind";
    }
    if (text.size() < begin + size) return "half a frame";
    if (kind == 1 && !nlohmann::json::accept(text.substr(begin, size))) return "no JSON in a frame";
    text.remove_prefix(begin + size);
  }
  if (!text.empty()) return "half a frame's head";
  return std::nullopt;
}

}  // namespace

HttpOutcome look_at_answers(std::string_view said) {
  HttpOutcome outcome;
  while (!said.empty() && !outcome.broken) {
    const std::size_t end = said.find("\r\n\r\n");
    if (!begins_answer(said) || end == std::string_view::npos) {
      outcome.broken = "no answer of HTTP: " + std::string(said.substr(0, 60));
      return outcome;
    }
    const std::string_view head = said.substr(0, end + 2);
    said.remove_prefix(end + 4);
    const int status = static_cast<int>(number_at(head.substr(line_begin)));
    outcome.statuses.push_back(status);
    if (std::find(known_statuses.begin(), known_statuses.end(), status) == known_statuses.end()) {
      outcome.broken = "a status that is none of ours";
    }
    if (status == 100) continue;
    if (status == 101) {
      outcome.broken = broken_frames(said);
      return outcome;
    }
    // HEAD is answered without the body.
    if (said.empty() || begins_answer(said)) continue;
    const std::size_t size = number_at(field_of(head, "Content-Length: "));
    if (said.size() < size)
      outcome.broken = "half a body";
    else if (status >= 400)
      outcome.broken = broken_error(said.substr(0, size));
    said.remove_prefix(std::min(size, said.size()));
  }
  return outcome;
}

}  // namespace nestcup::fuzzing
