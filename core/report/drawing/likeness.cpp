#include "core/report/drawing/likeness.hpp"

#include <algorithm>
#include <cstddef>
#include <utility>

namespace nestcup {

namespace {

using Likeness = std::pair<std::string_view, std::string_view>;

constexpr Likeness likenesses[] = {
    {"\xC2\xA0", " "},        // no-break space
    {"\xC2\xB0", "deg "},     // degree sign
    {"\xC2\xB1", "+/-"},      // plus-minus
    {"\xC2\xB2", "^2"},       // superscripts
    {"\xC2\xB3", "^3"},       //
    {"\xC2\xB5", "u"},        // micro sign
    {"\xC2\xB7", "."},        // middle dot
    {"\xC2\xB9", "^1"},       //
    {"\xC3\x84", "Ae"},       // letters of German
    {"\xC3\x96", "Oe"},       //
    {"\xC3\x97", "x"},        // multiplication sign
    {"\xC3\x9C", "Ue"},       //
    {"\xC3\x9F", "ss"},       //
    {"\xC3\xA4", "ae"},       //
    {"\xC3\xB6", "oe"},       //
    {"\xC3\xBC", "ue"},       //
    {"\xCE\x94", "Delta "},   // Greek capital delta
    {"\xE2\x80\x93", "-"},    // dashes
    {"\xE2\x80\x94", "-"},    //
    {"\xE2\x80\xA6", "..."},  // ellipsis
    {"\xE2\x81\xB0", "^0"},   //
    {"\xE2\x81\xB4", "^4"},   //
    {"\xE2\x81\xB5", "^5"},   //
    {"\xE2\x81\xB6", "^6"},   //
    {"\xE2\x81\xB7", "^7"},   //
    {"\xE2\x81\xB8", "^8"},   //
    {"\xE2\x81\xB9", "^9"},   //
    {"\xE2\x81\xBB", "^-"},   //
    {"\xE2\x86\x92", "->"},   // arrow
    {"\xE2\x88\x92", "-"},    // minus sign
};

}  // namespace

std::string_view ascii_likeness(std::string_view character) {
  const auto found =
      std::find_if(std::begin(likenesses), std::end(likenesses),
                   [&](const Likeness& likeness) { return likeness.first == character; });
  return found == std::end(likenesses) ? std::string_view() : found->second;
}

std::size_t utf8_length(char first) {
  const auto byte = static_cast<unsigned char>(first);
  if (byte >= 0xF0) return 4;
  if (byte >= 0xE0) return 3;
  return byte >= 0xC0 ? 2 : 1;
}

}  // namespace nestcup
