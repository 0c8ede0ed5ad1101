// Arrays as PostgreSQL writes and reads them (documentation, section 8.15).
#include <charconv>

#include "core/notebook/postgres/rows.hpp"
#include "core/notebook/postgres/runs.hpp"

namespace nestcup {
namespace {

template <class Number>
Result<std::vector<Number>> numbers_of(std::string_view array) {
  const Error wrong{Fault::bad_data, "an array of numbers that is none"};
  if (array.size() < 2 || array.front() != '{' || array.back() != '}') return wrong;
  std::vector<Number> numbers;
  const char* at = array.data() + 1;
  const char* const end = array.data() + array.size() - 1;
  while (at != end) {
    Number number{};
    const auto [next, code] = std::from_chars(at, end, number);
    if (code != std::errc{} || (next != end && (*next != ',' || next + 1 == end))) return wrong;
    numbers.push_back(number);
    at = next == end ? end : next + 1;
  }
  return numbers;
}

}  // namespace

Result<std::vector<double>> doubles_of(std::string_view array) {
  return numbers_of<double>(array);
}

Result<std::vector<std::int64_t>> wholes_of(std::string_view array) {
  return numbers_of<std::int64_t>(array);
}

std::string array_text(const std::vector<std::string>& elements) {
  std::string text = "{";
  for (const std::string& element : elements) {
    if (text.size() > 1) text += ',';
    text += '"';
    for (const char c : element) {
      if (c == '"' || c == '\\') text += '\\';
      text += c;
    }
    text += '"';
  }
  return text + '}';
}

}  // namespace nestcup
