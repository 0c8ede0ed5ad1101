#include "core/base/canonical_json.hpp"

#include <cstring>
#include <nlohmann/json.hpp>
#include <string>
#include <utility>
#include <vector>

#include "core/base/digest.hpp"
#include "tests/catch.hpp"

using namespace nestcup;
using Json = nlohmann::ordered_json;

namespace {

double from_bits(std::uint64_t bits) {
  double value = 0.0;
  std::memcpy(&value, &bits, sizeof value);
  return value;
}

std::string canonical(std::string_view text) {
  const Result<std::string> made = canonical_json(text);
  return made ? *made : "error: " + made.error().text;
}

std::string refusal(const Result<std::string>& made) {
  REQUIRE_FALSE(made);
  CHECK(made.error().kind == Fault::bad_data);
  CHECK(made.error().text.find('\n') == std::string::npos);
  return made.error().text;
}

std::string complaint(std::string_view text) {
  return refusal(canonical_json(text));
}

}  // namespace

TEST_CASE("RFC 8785, section 3.2.2: the sample comes out as in sections 3.2.3 and 3.2.4") {
  const std::string sample = R"({
    "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
    "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
    "literals": [null, true, false]
  })";
  const std::string expected = R"({"literals":[null,true,false],)"
                               R"("numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],)"
                               "\"string\":\"\xE2\x82\xAC$\\u000f\\nA'B\\\"\\\\\\\\\\\"/\"}";
  CHECK(canonical(sample) == expected);
  CHECK(canonical(expected) == expected);

  // Section 3.2.4 has the bytes.
  const std::string bytes =
      "7b226c69746572616c73223a5b6e756c6c2c747275652c66616c73655d2c226e756d62657273223a"
      "5b3333333333333333332e333333333333332c31652b33302c342e352c302e3030322c31652d3237"
      "5d2c22737472696e67223a22e282ac245c75303030665c6e4127425c225c5c5c5c5c222f227d";
  std::string hex;
  for (const char c : canonical(sample)) {
    constexpr std::string_view digits = "0123456789abcdef";
    hex += digits[static_cast<unsigned char>(c) >> 4];
    hex += digits[static_cast<unsigned char>(c) & 15];
  }
  CHECK(hex == bytes);
}

TEST_CASE("RFC 8785, section 3.2.3: keys are sorted by UTF-16 code units") {
  const std::string sample = R"({
    "\u20ac": "Euro Sign",
    "\r": "Carriage Return",
    "\ufb33": "Hebrew Letter Dalet With Dagesh",
    "1": "One",
    "\ud83d\ude00": "Emoji: Grinning Face",
    "\u0080": "Control",
    "\u00f6": "Latin Small Letter O With Diaeresis"
  })";
  const std::vector<std::string> order = {"Carriage Return",
                                          "One",
                                          "Control",
                                          "Latin Small Letter O With Diaeresis",
                                          "Euro Sign",
                                          "Emoji: Grinning Face",
                                          "Hebrew Letter Dalet With Dagesh"};
  const Json sorted = Json::parse(canonical(sample));
  std::vector<std::string> found;
  for (const auto& [key, value] : sorted.items()) found.push_back(value.get<std::string>());
  CHECK(found == order);
}

TEST_CASE("RFC 8785, section 3.2.3: objects within arrays are sorted, arrays keep their order") {
  CHECK(canonical(R"([56, {"d": true, "10": null, "1": [ ]}])") ==
        R"([56,{"1":[],"10":null,"d":true}])");
  CHECK(canonical(R"({"b": {"z": [3, 1, 2], "a": {}}, "": 0, "a": []})") ==
        R"({"":0,"a":[],"b":{"a":{},"z":[3,1,2]}})");
}

TEST_CASE("RFC 8785, appendix B: numbers as ECMAScript writes them") {
  const std::vector<std::pair<std::uint64_t, std::string>> table = {
      {0x0000000000000000, "0"},
      {0x8000000000000000, "0"},
      {0x0000000000000001, "5e-324"},
      {0x8000000000000001, "-5e-324"},
      {0x7fefffffffffffff, "1.7976931348623157e+308"},
      {0xffefffffffffffff, "-1.7976931348623157e+308"},
      {0x4340000000000000, "9007199254740992"},
      {0xc340000000000000, "-9007199254740992"},
      {0x4430000000000000, "295147905179352830000"},
      {0x44b52d02c7e14af5, "9.999999999999997e+22"},
      {0x44b52d02c7e14af6, "1e+23"},
      {0x44b52d02c7e14af7, "1.0000000000000001e+23"},
      {0x444b1ae4d6e2ef4e, "999999999999999700000"},
      {0x444b1ae4d6e2ef4f, "999999999999999900000"},
      {0x444b1ae4d6e2ef50, "1e+21"},
      {0x3eb0c6f7a0b5ed8c, "9.999999999999997e-7"},
      {0x3eb0c6f7a0b5ed8d, "0.000001"},
      {0x41b3de4355555553, "333333333.3333332"},
      {0x41b3de4355555554, "333333333.33333325"},
      {0x41b3de4355555555, "333333333.3333333"},
      {0x41b3de4355555556, "333333333.3333334"},
      {0x41b3de4355555557, "333333333.33333343"},
      {0xbecbf647612f3696, "-0.0000033333333333333333"},
      {0x43143ff3c1cb0959, "1424953923781206.2"},
  };
  for (const auto& [bits, text] : table) {
    CHECK(ecmascript_number(from_bits(bits)) == text);
    // What is canonical stays as it is, integers beyond 2^53 included.
    CHECK(canonical(text) == text);
  }
  CHECK_THAT(refusal(canonical_json(Json::array({from_bits(0x7fffffffffffffff)}))),
             StartsWith("/0: "));
  CHECK_THAT(refusal(canonical_json(Json{{"u", from_bits(0x7ff0000000000000)}})),
             StartsWith("/u: "));
}

TEST_CASE("Numbers of ECMA-262, Number::toString, at the borders of its notations") {
  CHECK(canonical("1e20") == "100000000000000000000");
  CHECK(canonical("123456789012345680000.0") == "123456789012345680000");
  CHECK(canonical("[1e21, 1e-6, 1e-7, -0, -0.0, 1.0, 100]") == "[1e+21,0.000001,1e-7,0,0,1,100]");
  CHECK(canonical("[0.1, 12.5, -1.5e-9, 1.25e300]") == "[0.1,12.5,-1.5e-9,1.25e+300]");
}

TEST_CASE("RFC 8785, section 3.2.2.2: only what must be escaped is") {
  CHECK(canonical(R"("\u0008\u0009\u000a\u000c\u000d\u0000\u001F\u007f\/\u003c")") ==
        "\"\\b\\t\\n\\f\\r\\u0000\\u001f\x7F/<\"");
  CHECK(canonical(R"("\ud83d\ude00 \u00e9")") == "\"\xF0\x9F\x98\x80 \xC3\xA9\"");
}

TEST_CASE("A parsed value has the canonical text of its JSON") {
  const std::string text =
      R"({"run": "a", "rev": 1, "x": [21.5, -3, 1e-9, null, {"b": 1, "a": ""}]})";
  const Result<std::string> made = canonical_json(Json::parse(text));
  REQUIRE(made);
  CHECK(*made == canonical(text));
  CHECK(*made == R"({"rev":1,"run":"a","x":[21.5,-3,1e-9,null,{"a":"","b":1}]})");
}

TEST_CASE("A text is a text, however it is held") {
  const std::string held = "{\"b\": 1, \"a\": 2}";
  CHECK(*canonical_json(held) == "{\"a\":2,\"b\":1}");
  CHECK(*canonical_json(held.c_str()) == *canonical_json(held));
  CHECK(*canonical_json(Json(held)) == R"("{\"b\": 1, \"a\": 2}")");
}

TEST_CASE("Two orders of the same object have one digest") {
  CHECK(sha256_hex(canonical(R"({"a": 1.50, "b": [1e0]})")) ==
        sha256_hex(canonical(R"({ "b":[1], "a":1.5 })")));
}

TEST_CASE("What has no canonical text gets one clear error") {
  SECTION("keys that are there twice, also where they are written differently") {
    CHECK(complaint(R"({"a": 1, "b": 2, "a": 1})") == "the key \"a\" is there twice; keep one");
    CHECK(complaint(R"({"x": [0, {"\u0061": 1, "a": 2}]})") ==
          "/x/1: the key \"a\" is there twice; keep one");
    Json twice = Json::object();
    twice.get_ref<Json::object_t&>().push_back({"k", 1});
    twice.get_ref<Json::object_t&>().push_back({"k", 2});
    CHECK_THAT(refusal(canonical_json(twice)), ContainsSubstring("\"k\" is there twice"));
  }
  SECTION("keys of several lines, and ones too long to be named whole") {
    CHECK(complaint(R"({"a\nb": 1, "a\nb": 2})") == "the key \"a\\nb\" is there twice; keep one");
    CHECK_THAT(complaint(R"({"a\n\"b": 992546409920719920})"),
               StartsWith(R"(/a\n\"b: the integer 992546409920719920 )"));
    std::string euros;
    for (int i = 0; i < 100; ++i) euros += "\xE2\x82\xAC";
    const std::string told = complaint("{\"" + euros + "\": 9007199254740993}");
    CHECK_THAT(told, StartsWith("/" + euros.substr(0, 39) + "...: the integer"));
  }
  SECTION("integers that lose digits") {
    CHECK(canonical("[9007199254740991, -9007199254740992]") ==
          "[9007199254740991,-9007199254740992]");
    for (const char* text : {"9007199254740993", "-9007199254740993", "18446744073709551615",
                             "123456789012345678901234567890"}) {
      CHECK_THAT(complaint(text), ContainsSubstring("expected as a string"));
      CHECK_THAT(complaint(text), ContainsSubstring(text));
    }
    CHECK_THAT(refusal(canonical_json(Json{{"n", std::uint64_t{1} << 63 | 1}})),
               StartsWith("/n: the integer 9223372036854775809 is beyond 2^53"));
  }
  SECTION("numbers that no double holds, and words that are none") {
    for (const char* text : {"1e400", "-1e400", "NaN", "Infinity", "[1,]", "01", "+1", ".5", ""}) {
      CHECK_THAT(complaint(text), StartsWith("not JSON that can be made canonical: "));
    }
  }
  SECTION("half surrogate pairs and bytes that are not UTF-8") {
    // RFC 3629, section 3 and 10: surrogates, overlong forms, beyond U+10FFFF, cut short.
    for (const char* text : {R"("\ud800")", R"("\udc00x")", R"({"\ud83dx": 1})", "\"\xED\xA0\x80\"",
                             "\"\xC0\xAF\"", "\"\xF4\x90\x80\x80\"", "\"\xE2\x82\"", "\"\xFF\""}) {
      CHECK_THAT(complaint(text), StartsWith("not JSON that can be made canonical: "));
    }
    for (const char* raw : {"\xED\xA0\x80", "\xC0\xAF", "\xF4\x90\x80\x80", "\xE2\x82", "\xFF",
                            "\xF0\x8F\xBF\xBF", "\x80"}) {
      CHECK(refusal(canonical_json(Json{{"a", raw}})) == "/a: a text is not UTF-8");
      CHECK(refusal(canonical_json(Json{{raw, 1}})) == "/: a key is not UTF-8");
    }
  }
  SECTION("binary values, and more than a thousand levels") {
    CHECK_THAT(refusal(canonical_json(Json::binary({1, 2}))), ContainsSubstring("binary"));
    CHECK(canonical(std::string(1000, '[') + std::string(1000, ']')).size() == 2000);
    CHECK_THAT(complaint(std::string(1001, '[') + std::string(1001, ']')),
               ContainsSubstring("levels"));
  }
}
