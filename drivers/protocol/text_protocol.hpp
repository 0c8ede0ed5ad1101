// Text lines as small boards send them: columns ("21.5,20.9") or keys ("T1=21.5 T2:20.9").
#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.hpp"
#include "core/sheet/port_settings.hpp"
#include "drivers/protocol/line_protocol.hpp"

namespace nestcup::drivers {

/// Decodes text lines. What a line is:
/// - comment: its first characters, after blanks, are the settings' comment prefix;
/// - data: a wanted field is a number, "nan" or "inf", or a wanted key is there. Each good field
///   is a quantity and each other wanted field a fault of its probe;
/// - header: it begins with a letter and no wanted field is a number. Before the first data up to
///   `most_headers` such lines in a row pass, afterwards only repeats of the last of them (the
///   names of the columns); more is a fault (unexpected_text), so that steady rubbish shows;
/// - faulty: all else, a byte that is no text and a line of more than 512 bytes included.
/// A key that is absent is its channel's fault only once the board has sent several wanted keys in
/// one line: boards that send one key a line are as good.
class TextProtocol final : public LineProtocol {
 public:
  static constexpr int most_headers = 20;

  /// @errors bad_configuration: a channel without (or with both) column and key, separator and
  ///         decimal mark the same, an unknown separator; text names port, channel and key
  [[nodiscard]] static Result<std::unique_ptr<Protocol>> make(
      const PortSettings& port, const std::vector<ChannelSettings>& channels);

 private:
  struct Wanted {
    std::optional<std::size_t> column;  // 0-based
    std::string key;
  };
  // What one line says for one wanted channel: a field, or why there is none.
  struct Field {
    std::optional<std::string_view> text;
    std::optional<LineFault> fault;
  };

  TextProtocol(const PortSettings& port, const std::vector<ChannelSettings>& channels);
  LineKind take_line(const TextLine& line, TimeUs stamp_us, ProtocolSink& sink) override;
  void forget() override;
  LineKind take_data(TimeUs stamp_us, ProtocolSink& sink);
  LineKind take_words(std::string_view text, ProtocolSink& sink);
  void split(std::string_view text);
  void find_fields();
  [[nodiscard]] Field find_key(const std::string& key) const;
  [[nodiscard]] bool looks_like_data() const;

  char separator_;
  Decimal decimal_;
  std::string comment_;
  std::vector<Wanted> wanted_;
  std::vector<std::string_view> parts_;  // of the line at hand
  std::vector<Field> fields_;            // of the line at hand, one for each wanted channel
  bool keys_come_together_ = false;
  bool seen_data_ = false;
  int headers_in_a_row_ = 0;
  std::string last_header_;
};

}  // namespace nestcup::drivers
