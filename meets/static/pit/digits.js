// Sets the point into digits as they are typed. What the digits may mean is for the server to say.

export const onlyDigits = (text) => text.replace(/\D/g, "");

export function pointed(digits, format) {
  if (format === "feet") {
    const [feet, inches, decimals] = [digits.slice(0, 2), digits.slice(2, 4), digits.slice(4)];
    return [feet, inches && `-${inches}`, decimals && `.${decimals}`].join("");
  }
  const padded = digits.padStart(3, "0");
  return `${padded.slice(0, -2)}.${padded.slice(-2)}`;
}

export function windShown(sign, tenths) {
  const padded = tenths.padStart(2, "0");
  return `${sign.replace("-", "−")}${padded.slice(0, -1)}.${padded.slice(-1)}`;
}
