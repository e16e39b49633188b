#include "importer/judging/packed.h"

#include <array>
#include <bit>
#include <cmath>
#include <limits>

#include "importer/physics/units.h"

namespace trayproof::judging {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();

enum class Form : std::uint8_t {
  empty = 0,     // every value is missing
  steps = 1,     // decimal; what is written is the change from the value before
  straight = 2,  // decimal; what is written is the change of the change: times and lines
  planes = 3,    // the bits of each value against those before, first bytes first
};

constexpr std::uint8_t decimals_most = 7;
// Whole numbers up to here have exact quotients by powers of ten, and their changes do not overflow.
constexpr double whole_most = 4503599627370496.0;  // 2^52

constexpr std::array<double, decimals_most + 1> power = {1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7};

// Bytes of the format: never given another meaning.
constexpr std::array temperatures = {physics::TemperatureUnit::celsius, physics::TemperatureUnit::fahrenheit,
                                     physics::TemperatureUnit::kelvin};
constexpr std::array pressures = {physics::PressureUnit::kpa,     physics::PressureUnit::hpa,
                                  physics::PressureUnit::bar,     physics::PressureUnit::mpa,
                                  physics::PressureUnit::pa,      physics::PressureUnit::psi,
                                  physics::PressureUnit::kgf_cm2, physics::PressureUnit::mmhg,
                                  physics::PressureUnit::inhg,    physics::PressureUnit::atm};

std::uint8_t units_of(Packer::Kind kind) {
  if (kind == Packer::Kind::time) return 1;
  return static_cast<std::uint8_t>(kind == Packer::Kind::temperature ? temperatures.size() : pressures.size());
}

// The file's own number as °C, kPa or seconds, by the same steps as when it was read.
double converted(double value, Packer::Kind kind, std::uint8_t unit) {
  if (kind == Packer::Kind::temperature) return physics::celsius(value, temperatures[unit]).value;
  if (kind == Packer::Kind::pressure) return physics::kilopascals(value, pressures[unit]);
  return value;
}

// About the number that the file had; rounding to its decimals does the rest.
double back(double value, Packer::Kind kind, std::uint8_t unit) {
  if (kind == Packer::Kind::pressure) return value / physics::kilopascals(1, pressures[unit]);
  if (kind == Packer::Kind::time) return value;
  if (temperatures[unit] == physics::TemperatureUnit::fahrenheit) return value * 9 / 5 + 32;
  return temperatures[unit] == physics::TemperatureUnit::kelvin ? value + 273.15 : value;
}

std::uint64_t zigzag(std::int64_t value) {
  return (static_cast<std::uint64_t>(value) << 1U) ^ static_cast<std::uint64_t>(value >> 63U);
}
std::int64_t unzigzag(std::uint64_t value) {
  return static_cast<std::int64_t>(value >> 1U) ^ -static_cast<std::int64_t>(value & 1U);
}

struct Decimal {
  std::uint8_t unit = 0;
  std::uint8_t decimals = 0;
};

std::optional<std::int64_t> whole_of(double value, Packer::Kind kind, const Decimal& form) {
  const double scaled = std::round(back(value, kind, form.unit) * power[form.decimals]);
  if (!(std::abs(scaled) <= whole_most)) return std::nullopt;
  if (converted(scaled / power[form.decimals], kind, form.unit) != value) return std::nullopt;
  return static_cast<std::int64_t>(scaled);
}

// The first unit, and in it the fewest decimals, in which every value is a decimal number. A value that does not fit
// is tried first the next time: most forms then fall at once.
std::optional<Decimal> decimal_of(std::span<const double> values, Packer::Kind kind) {
  std::size_t stumbling = 0;
  for (Decimal form; form.unit < units_of(kind); ++form.unit) {
    for (form.decimals = 0; form.decimals <= decimals_most; ++form.decimals) {
      const auto fits = [&](double value) { return std::isnan(value) || whole_of(value, kind, form).has_value(); };
      if (!fits(values[stumbling])) continue;
      std::size_t at = 0;
      while (at < values.size() && fits(values[at])) ++at;
      if (at == values.size()) return form;
      stumbling = at;
    }
  }
  return std::nullopt;
}

// The change from the value before, or of that change; wrapping, so that foreign bytes cannot overflow it.
class Changes {
 public:
  explicit Changes(bool straight) : straight_(straight) {}
  std::int64_t of(std::int64_t value) {
    const auto expected = expects();
    keep(static_cast<std::uint64_t>(value));
    return static_cast<std::int64_t>(static_cast<std::uint64_t>(value) - expected);
  }
  std::int64_t value(std::int64_t change) {
    keep(expects() + static_cast<std::uint64_t>(change));
    return static_cast<std::int64_t>(last_);
  }

 private:
  std::uint64_t expects() const { return straight_ ? last_ + step_ : last_; }
  void keep(std::uint64_t value) {
    step_ = value - last_;
    last_ = value;
  }
  bool straight_;
  std::uint64_t last_ = 0;
  std::uint64_t step_ = 0;
};

}  // namespace

void Packer::number(std::uint64_t value) {
  for (; value >= 0x80; value >>= 7U) bytes_.push_back(static_cast<std::uint8_t>(value | 0x80U));
  bytes_.push_back(static_cast<std::uint8_t>(value));
}

void Packer::signed_number(std::int64_t value) { number(zigzag(value)); }

void Packer::text(std::string_view text) {
  number(text.size());
  bytes_.insert(bytes_.end(), text.begin(), text.end());
}

void Packer::real(double value) {
  const auto bits = std::bit_cast<std::uint64_t>(value);
  for (unsigned shift = 0; shift < 64; shift += 8) bytes_.push_back(static_cast<std::uint8_t>(bits >> shift));
}

void Packer::column(std::span<const double> values, Kind kind) {
  std::size_t missing = 0;
  for (const double value : values) missing += std::isnan(value) ? 1U : 0U;
  if (missing == values.size()) return bytes_.push_back(static_cast<std::uint8_t>(Form::empty));
  if (const auto form = decimal_of(values, kind)) {
    const bool straight = kind == Kind::time;
    bytes_.push_back(static_cast<std::uint8_t>(straight ? Form::straight : Form::steps));
    bytes_.push_back(form->unit);
    bytes_.push_back(form->decimals);
    Changes changes(straight);
    for (const double value : values) {
      if (std::isnan(value))
        number(0);
      else
        number(zigzag(changes.of(*whole_of(value, kind, *form))) + 1);
    }
    return;
  }
  bytes_.push_back(static_cast<std::uint8_t>(Form::planes));
  const std::size_t start = bytes_.size();
  bytes_.resize(start + 8 * values.size());
  std::uint64_t before = 0;
  for (std::size_t i = 0; i < values.size(); ++i) {
    const auto bits = std::bit_cast<std::uint64_t>(std::isnan(values[i]) ? none : values[i] == 0 ? 0.0 : values[i]);
    for (std::size_t plane = 0; plane < 8; ++plane) {
      bytes_[start + plane * values.size() + i] = static_cast<std::uint8_t>((bits ^ before) >> (56 - 8 * plane));
    }
    before = bits;
  }
}

std::optional<std::uint8_t> Unpacker::byte() {
  if (at_ >= bytes_.size()) return std::nullopt;
  return bytes_[at_++];
}

std::optional<std::uint64_t> Unpacker::number(std::uint64_t most) {
  std::uint64_t value = 0;
  // Most are of one byte.
  if (at_ < bytes_.size() && bytes_[at_] < 0x80U) {
    value = bytes_[at_++];
    return value <= most ? std::optional(value) : std::nullopt;
  }
  for (unsigned shift = 0; shift < 64; shift += 7) {
    const auto next = byte();
    if (!next) return std::nullopt;
    // One spelling is legal: no empty byte at the end, nothing above the 64th bit.
    if ((shift == 63 && *next > 1) || (shift > 0 && *next == 0)) return std::nullopt;
    value |= static_cast<std::uint64_t>(*next & 0x7FU) << shift;
    if ((*next & 0x80U) == 0) return value <= most ? std::optional(value) : std::nullopt;
  }
  return std::nullopt;
}

std::optional<std::int64_t> Unpacker::signed_number() {
  const auto value = number(std::numeric_limits<std::uint64_t>::max());
  return value ? std::optional(unzigzag(*value)) : std::nullopt;
}

std::optional<std::string> Unpacker::text(std::size_t most) {
  const auto size = number(most);
  if (!size || *size > bytes_.size() - at_) return std::nullopt;
  std::string out(as_text(bytes_.subspan(at_, *size)));
  at_ += *size;
  return out;
}

std::optional<double> Unpacker::real() {
  if (bytes_.size() - at_ < 8) return std::nullopt;
  std::uint64_t bits = 0;
  for (unsigned shift = 0; shift < 64; shift += 8) bits |= static_cast<std::uint64_t>(bytes_[at_++]) << shift;
  return std::bit_cast<double>(bits);
}

bool Unpacker::fixed(std::vector<double>& values, Packer::Kind kind, bool straight) {
  const auto unit = byte();
  const auto decimals = byte();
  if (!unit || !decimals || *unit >= units_of(kind) || *decimals > decimals_most) return false;
  Changes changes(straight);
  for (double& value : values) {
    const auto change = number(std::numeric_limits<std::uint64_t>::max());
    if (!change) return false;
    if (*change == 0) continue;
    const auto whole = static_cast<double>(changes.value(unzigzag(*change - 1)));
    if (!(std::abs(whole) <= whole_most)) return false;
    value = converted(whole / power[*decimals], kind, *unit);
  }
  return true;
}

bool Unpacker::planes(std::vector<double>& values) {
  if ((bytes_.size() - at_) / 8 < values.size()) return false;
  std::uint64_t before = 0;
  for (std::size_t i = 0; i < values.size(); ++i) {
    std::uint64_t bits = 0;
    for (std::size_t plane = 0; plane < 8; ++plane) bits = bits << 8U | bytes_[at_ + plane * values.size() + i];
    before ^= bits;
    values[i] = std::bit_cast<double>(before);
    if (std::isinf(values[i])) return false;
  }
  at_ += 8 * values.size();
  return true;
}

std::optional<std::vector<double>> Unpacker::column(std::size_t size, Packer::Kind kind) {
  const auto form = byte();
  // A row takes at least a byte in every form but the empty one: no more memory than the bytes can fill.
  if (!form || (*form != static_cast<std::uint8_t>(Form::empty) && bytes_.size() - at_ < size)) return std::nullopt;
  std::vector<double> values(size, none);
  switch (static_cast<Form>(*form)) {
    case Form::empty:
      return values;
    case Form::steps:
    case Form::straight:
      if (!fixed(values, kind, static_cast<Form>(*form) == Form::straight)) return std::nullopt;
      return values;
    case Form::planes:
      if (!planes(values)) return std::nullopt;
      return values;
  }
  return std::nullopt;
}

}  // namespace trayproof::judging
