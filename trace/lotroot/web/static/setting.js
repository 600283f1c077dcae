/* What did somebody set in this browser (sound, screen keyboard)? */

/** Read, or with a value write, a setting of this browser; null where storage is switched off. */
export function setting(name, value) {
  try {
    if (value !== undefined) localStorage.setItem(name, value);
    return localStorage.getItem(name);
  } catch {
    return null;
  }
}
