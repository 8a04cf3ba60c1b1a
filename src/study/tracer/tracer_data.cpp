// SPDX-License-Identifier: Apache-2.0
/// Readings of a tracer gas from a table of text.
#include <algorithm>
#include <charconv>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "leanside/study/tracer.hpp"

namespace leanside {
namespace {

std::string_view trimmed(std::string_view text) {
  const auto blank = [](char c) { return c == ' ' || c == '\t' || c == '\r'; };
  while (!text.empty() && blank(text.front())) text.remove_prefix(1);
  while (!text.empty() && blank(text.back())) text.remove_suffix(1);
  return text;
}

constexpr std::size_t most_faults = 20;  ///< more at once nobody reads

std::vector<std::string_view> fields_of(std::string_view line) {
  std::vector<std::string_view> out;
  while (true) {
    const std::size_t comma = line.find(',');
    std::string_view field = trimmed(line.substr(0, comma));
    if (field.size() >= 2 && field.front() == '"' && field.back() == '"') field = field.substr(1, field.size() - 2);
    out.push_back(field);
    if (comma == std::string_view::npos) return out;
    line.remove_prefix(comma + 1);
  }
}

std::optional<double> number(std::string_view text) {
  double value = 0.0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc{} || end != text.data() + text.size() || !std::isfinite(value)) return {};
  return value;
}

class Reader {
 public:
  Reader(std::string_view text, const std::string& file, const Site& site, std::optional<double> background)
      : text_{text}, file_{file}, site_{site} {
    if (background) background_ = *background;
  }

  Result<TracerData> run() {
    if (text_.find('\0') != std::string_view::npos) {
      fault("this is no table of text: it has bytes of zero in it");
      return Fault::in_input(std::move(faults_));
    }
    if (text_.starts_with("\xef\xbb\xbf")) text_.remove_prefix(3);
    while (!text_.empty()) {
      const std::size_t end = text_.find('\n');
      const std::string_view line = trimmed(text_.substr(0, end));
      text_.remove_prefix(end == std::string_view::npos ? text_.size() : end + 1);
      ++line_;
      take(line);
      if (faults_.size() >= most_faults) break;
    }
    if (!header_ && faults_.empty()) {
      line_ = 0;
      fault("no header was found; expected one such as \"time_min, " + an_id() + "\"");
    }
    if (std::isnan(background_) && faults_.empty()) {
      line_ = 0;
      fault(
          "the background is not given: read the concentration before the tracer is let in and write it as a line "
          "\"# background = 412 ppm\", or give --background; \"0\" says that there is none");
    }
    if (!faults_.empty()) return Fault::in_input(std::move(faults_));
    for (auto& row : out_.value) {
      for (double& v : row) v -= background_;
    }
    out_.background = background_;
    const double first = out_.time.empty() ? 0.0 : out_.time.front();
    for (double& t : out_.time) t -= first;
    return std::move(out_);
  }

 private:
  void fault(std::string message) {
    if (faults_.size() >= most_faults) return;
    Diagnostic d;
    d.place = {file_, line_, 0};
    d.message = std::move(message);
    faults_.push_back(std::move(d));
  }

  std::string an_id() const { return site_.spaces.empty() ? "room" : site_.spaces.front().id; }

  void take(std::string_view line) {
    if (line.empty()) return;
    if (line.front() == '#') return comment(trimmed(line.substr(1)));
    if (!header_) return read_header(line);
    read_row(line);
  }

  void comment(std::string_view text) {
    constexpr std::string_view word = "background";
    if (!text.starts_with(word)) return;
    text = trimmed(text.substr(word.size()));
    if (text.empty() || (text.front() != '=' && text.front() != ':')) return;
    text = trimmed(text.substr(1));
    const std::size_t blank = text.find(' ');
    const auto value = number(text.substr(0, blank));
    if (!value || *value < 0.0) {
      fault(fmt::format("background: found '{}'; expected a number that is not negative, in the unit of the readings",
                        text));
      return;
    }
    if (blank != std::string_view::npos) out_.unit = std::string{trimmed(text.substr(blank))};
    if (std::isnan(background_)) background_ = *value;
  }

  void read_header(std::string_view line) {
    header_ = true;
    if (line.find(';') != std::string_view::npos && line.find(',') == std::string_view::npos) {
      return fault("the columns are parted by ';'; expected ',' (and a point in numbers such as 12.5)");
    }
    constexpr std::ptrdiff_t most_columns = 10'000;
    if (std::count(line.begin(), line.end(), ',') >= most_columns) {
      return fault(fmt::format("more than {} columns, which no record of readings has", most_columns));
    }
    const auto fields = fields_of(line);
    if (fields[0] == "time_s") {
      seconds_ = 1.0;
    } else if (fields[0] == "time_min") {
      seconds_ = 60.0;
    } else if (fields[0] == "time_h") {
      seconds_ = 3600.0;
    } else if (fields[0] == "clock") {
      clock_ = true;
    } else {
      fault(fmt::format("the first column is '{}'; expected time_s, time_min, time_h or clock", fields[0]));
    }
    if (fields.size() < 2) fault("there is no column of readings; expected one for each space, named by its id");
    std::vector<std::string> known;
    for (const Space& space : site_.spaces) known.push_back(space.id);
    for (std::size_t k = 1; k < fields.size(); ++k) {
      const auto found = std::find(known.begin(), known.end(), fields[k]);
      if (found == known.end()) {
        const std::string near = nearest_name(std::string{fields[k]}, known);
        fault(fmt::format("column {}: the site has no space '{}'{}", k + 1, fields[k],
                          near.empty() ? "" : fmt::format("; did you mean '{}'?", near)));
        continue;
      }
      const SpaceIndex space{static_cast<std::size_t>(found - known.begin())};
      if (std::find(out_.spaces.begin(), out_.spaces.end(), space) != out_.spaces.end()) {
        fault(fmt::format("column {}: '{}' is there twice", k + 1, fields[k]));
      }
      if (site_.spaces[space.value].volume <= 0.0) {
        fault(fmt::format("column {}: '{}' is a junction; it holds no air whose change could be found", k + 1,
                          fields[k]));
      }
      out_.spaces.push_back(space);
    }
    columns_ = fields.size();
  }

  void read_row(std::string_view line) {
    if (columns_ == 0) return;  // the header is at fault
    const auto fields = fields_of(line);
    if (fields.size() != columns_) {
      return fault(fmt::format("found {} columns, but the header has {}{}", fields.size(), columns_,
                               fields.size() > columns_ ? " (numbers are written with a point: 12.5)" : ""));
    }
    const auto time = clock_ ? clock(fields[0]) : number(fields[0]);
    if (!time) {
      return fault(fmt::format("time: found '{}'; expected {}", fields[0],
                               clock_ ? "a time of day such as 14:05 or 14:05:30" : "a number"));
    }
    if (!out_.time.empty() && *time * seconds_ <= out_.time.back()) {
      return fault("the time does not come after that of the line before");
    }
    // A decay is over after days at most, and no instrument reads a thousand times in a second.
    constexpr double longest = 366.0 * 86400.0, shortest = 1e-3;
    const double seconds = *time * seconds_;
    if (std::abs(seconds) > 100.0 * longest || (!out_.time.empty() && seconds - out_.time.front() > longest)) {
      return fault(fmt::format("time: found '{}', more than a year on; is the unit of the column right?", fields[0]));
    }
    if (!out_.time.empty() && seconds - out_.time.back() < shortest) {
      return fault(
          fmt::format("time: found '{}', less than a thousandth of a second after the line before; is the unit "
                      "of the column right?",
                      fields[0]));
    }
    std::vector<double> row;
    for (std::size_t k = 1; k < fields.size(); ++k) {
      if (fields[k].empty()) {
        row.push_back(std::numeric_limits<double>::quiet_NaN());
        continue;
      }
      const auto value = number(fields[k]);
      if (!value || *value < 0.0) {
        return fault(
            fmt::format("column {}: found '{}'; expected a concentration, a number that is not negative, or "
                        "nothing where none was read",
                        k + 1, fields[k]));
      }
      row.push_back(*value);
    }
    out_.time.push_back(*time * seconds_);
    out_.value.push_back(std::move(row));
  }

  /// s from the midnight before the first reading.
  std::optional<double> clock(std::string_view text) const {
    double seconds = 0.0, unit = 3600.0;
    constexpr double most[] = {24.0, 60.0, 60.0};
    std::size_t parts = 0;
    while (true) {
      const std::size_t colon = text.find(':');
      const auto part = number(text.substr(0, colon));
      if (!part || parts == 3 || *part < 0.0 || *part >= most[parts]) return {};
      seconds += unit * *part;
      unit /= 60.0;
      ++parts;
      if (colon == std::string_view::npos) break;
      text.remove_prefix(colon + 1);
    }
    if (parts < 2) return {};
    constexpr double day = 86400.0;
    while (!out_.time.empty() && seconds < out_.time.back()) seconds += day;
    return seconds;
  }

  std::string_view text_;
  const std::string& file_;
  const Site& site_;
  double background_ = std::numeric_limits<double>::quiet_NaN();
  double seconds_ = 1.0;
  bool header_ = false;
  bool clock_ = false;  ///< times of day, in s with seconds_ = 1
  std::size_t columns_ = 0;
  int line_ = 0;
  TracerData out_;
  Diagnostics faults_;
};

}  // namespace

Result<TracerData> parse_tracer(std::string_view text, const std::string& file_name, const Site& site,
                                std::optional<double> background) {
  return Reader{text, file_name, site, background}.run();
}

}  // namespace leanside
