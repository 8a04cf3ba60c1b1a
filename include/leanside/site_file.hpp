// SPDX-License-Identifier: Apache-2.0
/// TOML to Site, every fault with its line and column, all faults in one run.
#pragma once

#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <variant>

#include "leanside/diagnostic.hpp"
#include "leanside/site.hpp"
#include "leanside/substance.hpp"
#include "leanside/substance_file.hpp"

namespace leanside {

/// Largest site or substance file that is read, bytes: a bound on what a slip (a video named .toml) can make us
/// allocate.
inline constexpr std::size_t largest_input_file = std::size_t{64} * 1024 * 1024;

struct SiteReading {
  std::variant<Site, std::monostate> site;  ///< a Site where no diagnostic is an error
  Diagnostics diagnostics;                  ///< errors and notices, in the order of the file

  const Site* usable() const { return std::get_if<Site>(&site); }
};

/// Reads a site from its text. `file_name` is only for messages. `units`: of what people read about it, in place of
/// those that the file asks for. Never throws, for any bytes.
SiteReading parse_site(std::string_view text, const std::string& file_name, const SubstanceTable& substances,
                       std::optional<UnitSystem> units = {});

/// The same from a file: missing, a directory, unreadable, larger than largest_input_file are diagnostics too.
SiteReading read_site(const std::string& path, const SubstanceTable& substances);

/// A site file that can be read again with other values in place of its ranges, without going through its text again.
/// Copies share what was read; any number of threads may use it at once.
class RangedSite {
 public:
  struct State;
  explicit RangedSite(std::shared_ptr<const State> state) : state_{std::move(state)} {}
  /// The site with the best value of every range.
  const Site& best() const;
  /// Where sites with drawn values are made: one for each thread.
  class Draws {
   public:
    explicit Draws(const RangedSite& of);
    ~Draws();
    Draws(Draws&&) noexcept;
    /// The site with `values`, SI, by place in best().ranges, each within its range; good until the next call. Null
    /// where the values do not go together: faults() says why. Its texts may be those of the best values.
    const Site* at(std::span<const double> values);
    const Diagnostics& faults() const;

   private:
    struct Inner;
    std::unique_ptr<Inner> inner_;
  };

 private:
  std::shared_ptr<const State> state_;
};

struct RangedReading {
  std::optional<RangedSite> site;  ///< where no diagnostic is an error
  Diagnostics diagnostics;
};

/// What to do with a file that gives no range.
enum class UsualRanges { none, where_none_is_given };

/// As parse_site. `substances` must outlive what is read. With usual ranges, an assumption says so.
RangedReading parse_ranged_site(std::string_view text, const std::string& file_name, const SubstanceTable& substances,
                                UsualRanges usual = UsualRanges::none, std::optional<UnitSystem> units = {});

/// Whole text of an input file, or why not.
std::variant<std::string, Diagnostic> read_text_file(const std::string& path);

/// The built-in example: text of the site that `check` runs when no file is named.
std::string_view built_in_site();

}  // namespace leanside
