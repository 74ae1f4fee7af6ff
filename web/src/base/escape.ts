/** Hears Escape within a form, which is left by it; nothing around the form hears it too. */
export const onEscape = (leave: () => void) => (event: KeyboardEvent) => {
  if (event.key !== 'Escape') return;
  event.stopPropagation();
  leave();
};
