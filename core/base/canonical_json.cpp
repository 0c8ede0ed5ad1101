#include "core/base/canonical_json.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <nlohmann/json.hpp>
#include <optional>
#include <utility>
#include <vector>

#include "core/base/utf8.hpp"

namespace nestcup {
namespace {

// Deeper than any record, and far from the end of the stack.
constexpr std::size_t max_depth = 1000;

/// RFC 8785, section 3.2.2.2, without the quotation marks.
std::string escaped_text(std::string_view text) {
  constexpr std::string_view with_letter = "\"\\\b\f\n\r\t";
  constexpr std::string_view letters = "\"\\bfnrt";
  std::string out;
  for (const char c : text) {
    const std::size_t letter = with_letter.find(c);
    if (letter != std::string_view::npos) {
      out += '\\';
      out += letters[letter];
    } else if (static_cast<unsigned char>(c) < 0x20) {
      out += fmt::format("\\u{:04x}", static_cast<unsigned char>(c));
    } else {
      out += c;
    }
  }
  return out;
}

std::string quoted_text(std::string_view text) {
  return '"' + escaped_text(text) + '"';
}

/// Puts canonical text together from the events of a parser; keeps the first thing that is wrong.
class CanonicalText {
 public:
  using Json = nlohmann::ordered_json;

  bool null() { return add("null"); }
  bool boolean(bool value) { return add(value ? "true" : "false"); }
  bool number_integer(std::int64_t value) { return add_integer(std::to_string(value)); }
  bool number_unsigned(std::uint64_t value) { return add_integer(std::to_string(value)); }
  bool number_float(double value, const std::string& digits) {
    if (!std::isfinite(value)) {
      return fail("there is no number in JSON for NaN and infinities; null or a text is expected");
    }
    const bool whole = !digits.empty() && digits.find_first_of(".eE") == std::string::npos;
    return whole ? add_integer(digits) : add(ecmascript_number(value));
  }
  bool string(const std::string& value) {
    return is_utf8(value) ? add(quoted_text(value)) : fail("a text is not UTF-8");
  }
  bool binary(const Json::binary_t&) { return fail("binary values are not JSON"); }

  bool start_object(std::size_t) { return open(true); }
  bool start_array(std::size_t) { return open(false); }
  bool key(const std::string& name) {
    std::optional<std::u16string> order = utf16(name);
    if (!order) return fail("a key is not UTF-8");
    levels_.back().members.push_back({std::move(*order), name, {}});
    return true;
  }
  bool end_object() {
    std::vector<Member>& members = levels_.back().members;
    std::sort(members.begin(), members.end(),
              [](const Member& a, const Member& b) { return a.order < b.order; });
    std::string text;
    for (std::size_t i = 0; i < members.size(); ++i) {
      if (i > 0 && members[i].order == members[i - 1].order) {
        const std::string name = quoted_text(members[i].name);
        levels_.pop_back();
        return fail(fmt::format("the key {} is there twice; keep one", name));
      }
      text +=
          fmt::format("{}{}:{}", i > 0 ? "," : "", quoted_text(members[i].name), members[i].text);
    }
    return close("{" + text + "}");
  }
  bool end_array() {
    std::string text;
    for (const Member& item : levels_.back().members) {
      if (!text.empty()) text += ',';
      text += item.text;
    }
    return close("[" + text + "]");
  }

  bool parse_error(std::size_t, const std::string&, const nlohmann::detail::exception& wrong) {
    const std::string_view words = wrong.what();
    const std::size_t code_end = words.find("] ");
    const auto from = code_end == std::string_view::npos ? 0 : code_end + 2;
    failed_ = Error{Fault::bad_data,
                    fmt::format("not JSON that can be made canonical: {}", words.substr(from))};
    return false;
  }

  /// A value that is parsed already, as events.
  bool take(const Json& value) {
    switch (value.type()) {
      case Json::value_t::null:
        return null();
      case Json::value_t::boolean:
        return boolean(value.get<bool>());
      case Json::value_t::number_integer:
        return number_integer(value.get<std::int64_t>());
      case Json::value_t::number_unsigned:
        return number_unsigned(value.get<std::uint64_t>());
      case Json::value_t::number_float:
        return number_float(value.get<double>(), {});
      case Json::value_t::string:
        return string(value.get_ref<const std::string&>());
      case Json::value_t::array:
        return start_array(value.size()) &&
               std::all_of(value.begin(), value.end(), [this](const Json& v) { return take(v); }) &&
               end_array();
      case Json::value_t::object:
        return take_members(value);
      default:
        return fail("binary and discarded values are not JSON");
    }
  }

  Result<std::string> result() && {
    if (failed_) return *failed_;
    return std::move(whole_);
  }

 private:
  struct Member {
    std::u16string order;  ///< of objects only, as is `name`
    std::string name;
    std::string text;
  };
  struct Level {
    bool object = false;
    std::vector<Member> members;
  };

  bool take_members(const Json& object) {
    if (!start_object(object.size())) return false;
    for (const auto& [name, value] : object.get_ref<const Json::object_t&>()) {
      if (!key(name) || !take(value)) return false;
    }
    return end_object();
  }

  bool open(bool object) {
    if (levels_.size() == max_depth) {
      return fail(fmt::format("more than {} levels within each other", max_depth));
    }
    levels_.push_back({object, {}});
    return true;
  }
  bool close(std::string text) {
    levels_.pop_back();
    return add(std::move(text));
  }
  bool add(std::string text) {
    if (levels_.empty()) {
      whole_ = std::move(text);
    } else if (levels_.back().object) {
      levels_.back().members.back().text = std::move(text);
    } else {
      levels_.back().members.push_back({{}, {}, std::move(text)});
    }
    return true;
  }
  /// Up to 2^53 a double holds every integer. Beyond it one passes that is canonical text already.
  bool add_integer(const std::string& digits) {
    double value = 0.0;
    std::from_chars(digits.data(), digits.data() + digits.size(), value);
    std::string text = ecmascript_number(value);
    if (std::abs(value) >= 0x1p53 && text != digits) {
      return fail(
          fmt::format("the integer {} is beyond 2^53, where numbers lose digits; it is "
                      "expected as a string",
                      digits));
    }
    return add(std::move(text));
  }

  bool fail(std::string_view what) {
    std::string where;
    for (const Level& level : levels_) {
      where += '/';
      if (!level.object) {
        where += std::to_string(level.members.size());
      } else if (!level.members.empty() && is_utf8(level.members.back().name)) {
        where += escaped_text(level.members.back().name);
      }
    }
    if (where.size() > 200) {
      std::size_t end = 40;
      while ((static_cast<unsigned char>(where[end]) & 0xC0) == 0x80) --end;  // not within one
      where = where.substr(0, end) + "...";
    }
    failed_ = Error{Fault::bad_data, fmt::format("{}{}{}", where, where.empty() ? "" : ": ", what)};
    return false;
  }

  std::vector<Level> levels_;
  std::string whole_;
  std::optional<Error> failed_;
};

}  // namespace

std::string ecmascript_number(double finite) {
  if (finite == 0.0) return "0";
  if (finite < 0.0) return "-" + ecmascript_number(-finite);
  std::array<char, 32> buffer{};
  const auto end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), finite,
                                 std::chars_format::scientific)
                       .ptr;
  const std::string_view shortest(buffer.data(), static_cast<std::size_t>(end - buffer.data()));
  const std::size_t e = shortest.find('e');
  std::string digits(shortest.substr(0, e));
  if (digits.size() > 1) digits.erase(1, 1);
  // from_chars knows no plus sign.
  const std::string_view power = shortest.substr(shortest[e + 1] == '+' ? e + 2 : e + 1);
  int exponent = 0;
  std::from_chars(power.data(), power.data() + power.size(), exponent);

  // ECMA-262, Number::toString: the value is 0.digits * 10^point.
  const int count = static_cast<int>(digits.size());
  const int point = exponent + 1;
  const auto zeros = [](int n) { return std::string(static_cast<std::size_t>(n), '0'); };
  if (count <= point && point <= 21) return digits + zeros(point - count);
  if (0 < point && point <= 21) return digits.insert(static_cast<std::size_t>(point), ".");
  if (-6 < point && point <= 0) return "0." + zeros(-point) + digits;
  if (count > 1) digits.insert(1, ".");
  return fmt::format("{}e{}{}", digits, exponent < 0 ? '-' : '+', std::abs(exponent));
}

Result<std::string> canonical_json(std::string_view json_text) {
  CanonicalText text;
  nlohmann::ordered_json::sax_parse(json_text, &text);
  return std::move(text).result();
}

Result<std::string> canonical_value(const nlohmann::ordered_json& value) {
  CanonicalText text;
  text.take(value);
  return std::move(text).result();
}

}  // namespace nestcup
