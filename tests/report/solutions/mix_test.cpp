// Published recipes, and each of them backwards.
#include "report/solutions/mix.h"

#include <cmath>

#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::solutions;

namespace {

Amounts made(Form form, double stock_percent, double percent, double litres) {
  auto amounts = amounts_for({form, stock_percent, percent, litres * 1000});
  REQUIRE(amounts.ok());
  return amounts.value();
}

double parts_of_water(double stock_percent, double percent) {
  const Amounts amounts = made(Form::liquid, stock_percent, percent, 1);
  return amounts.water_ml / amounts.stock;
}

std::string refusal(const Wanted& wanted) {
  const auto amounts = amounts_for(wanted);
  return amounts.ok() ? std::string() : amounts.error().sentence();
}

}  // namespace

TEST_CASE("parts of water to a part of bleach are those of the published examples") {
  // CDC, Cleaning in Global Healthcare Facilities, appendix E: 3.5 % to 0.5 % is 6 parts, 5 % to 0.1 % is 49.
  CHECK(parts_of_water(3.5, 0.5) == doctest::Approx(6));
  CHECK(parts_of_water(5, 0.1) == doctest::Approx(49));
  // By the same formula, worked out apart from the program.
  struct Row {
    double stock, percent, parts;
  };
  for (const Row& row : {Row{2.4, 0.5, 3.8}, Row{4, 0.5, 7}, Row{5, 0.5, 9}, Row{5.25, 0.5, 9.5}, Row{6, 0.5, 11},
                         Row{8, 0.5, 15}, Row{10, 0.5, 19}, Row{12, 0.5, 23}, Row{15, 0.5, 29}, Row{3.5, 0.1, 34}}) {
    CHECK(parts_of_water(row.stock, row.percent) == doctest::Approx(row.parts));
  }
}

TEST_CASE("grams of powder to a litre are those of the published examples") {
  // The same appendix: 35 % powder to 0.5 % is 14.3 g to the litre (14.2857).
  CHECK(made(Form::powder, 35, 0.5, 1).stock == doctest::Approx(14.2857).epsilon(1e-5));
  struct Row {
    double available, percent, grams;
  };
  // By the same formula, worked out apart from the program and rounded to 0.01 g.
  for (const Row& row :
       {Row{20, 0.5, 25}, Row{20, 0.05, 2.5}, Row{25, 0.5, 20}, Row{30, 0.5, 16.67}, Row{35, 0.1, 2.86},
        Row{55, 0.5, 9.09}, Row{60, 0.5, 8.33}, Row{65, 0.1, 1.54}, Row{70, 0.5, 7.14}, Row{70, 0.05, 0.71}}) {
    CHECK(std::abs(made(Form::powder, row.available, row.percent, 1).stock - row.grams) < 0.0051);
  }
}

TEST_CASE("a hundred ml of five per cent in a litre in all is half a per cent and into a litre it is less") {
  // PMC4925840, table 2, gives "100 ml in 1 litre": it is 0.5 % made up to a litre, 0.4545 % added to a litre.
  CHECK(strength_of({Form::liquid, 100, 900}, 5) == doctest::Approx(0.5));
  CHECK(strength_of({Form::liquid, 100, 1000}, 5) == doctest::Approx(0.4545).epsilon(1e-4));
  // 7.0 g of 70 % calcium hypochlorite to the litre: 0.49 % (same table).
  CHECK(strength_of({Form::powder, 7, 1000}, 70) == doctest::Approx(0.49));
}

TEST_CASE("amounts put backwards give the wanted strength and what can be measured comes near it") {
  for (const Form form : {Form::liquid, Form::powder}) {
    for (const double stock : {3.5, 5.25, 12.0, 35.0, 70.0}) {
      for (const double percent : {0.05, 0.1, 0.5, 2.0}) {
        for (const double litres : {0.5, 1.0, 10.0, 25.0}) {
          const Amounts exact = made(form, stock, percent, litres);
          CHECK(strength_of(exact, stock) == doctest::Approx(percent));
          if (form == Form::liquid) CHECK(exact.stock + exact.water_ml == doctest::Approx(litres * 1000));
          // Three figures are within half a per cent of the amount.
          CHECK(std::abs(strength_of(measurable(exact), stock) / percent - 1) < 0.0051);
        }
      }
    }
  }
}

TEST_CASE("a stock of the wanted strength is used as it is and a weaker one is refused") {
  const Amounts amounts = made(Form::liquid, 2, 2, 5);
  CHECK(amounts.stock == doctest::Approx(5000));
  CHECK(amounts.water_ml == doctest::Approx(0));
  CHECK(refusal({Form::liquid, 0.5, 5, 1000}).find("up to 0.5") != std::string::npos);
  CHECK(refusal({Form::powder, 35, 36, 1000}).find("found 36") != std::string::npos);
}

TEST_CASE("what is no strength and no volume is refused by the option's name") {
  CHECK(refusal({Form::liquid, 0, 0.5, 1000}).starts_with("--stock-percent: found 0"));
  CHECK(refusal({Form::powder, 101, 0.5, 1000}).starts_with("--available-percent: found 101"));
  CHECK(refusal({Form::liquid, 5, -1, 1000}).starts_with("--percent: found -1"));
  CHECK(refusal({Form::liquid, 5, NAN, 1000}).starts_with("--percent: found a number that is not finite"));
  CHECK(refusal({Form::liquid, 5, 0.5, 0}).starts_with("--volume-l: found 0"));
  CHECK(refusal({Form::liquid, 5, 0.5, INFINITY}).starts_with("--volume-l"));
}
